using System.Buffers.Binary;
using System.Text;
using KitMesh.Domain.Reports;
using KitMesh.Storage.RollUps;
using KitMesh.Storage.Segments;
using ZstdSharp;

namespace KitMesh.Storage.LiteDb;

/// <summary>Every series with its number and its last reading; all of it in memory, changes written with the transaction.</summary>
internal sealed class SeriesTable
{
    private readonly LiteDbTables _tables;
    private readonly Dictionary<SeriesKey, Series> _byKey = [];
    private readonly HashSet<Series> _changed = [];

    public SeriesTable(LiteDbTables tables, Decompressor decompressor)
    {
        _tables = tables;
        foreach ((byte[] key, byte[] block) in tables.All(Table.Series))
        {
            Series series = Decode((int)BinaryPrimitives.ReadUInt32BigEndian(key), SegmentFormat.Open(block, decompressor));
            _byKey.Add(series.Key, series);
        }
    }

    /// <summary>Every series, in no order.</summary>
    public IReadOnlyCollection<Series> All => _byKey.Values;

    /// <summary>A series that is there, or null.</summary>
    public Series? Find(SeriesKey key) => _byKey.GetValueOrDefault(key);

    /// <summary>A series, made when missing.</summary>
    public Series FindOrAdd(SeriesKey key)
    {
        if (!_byKey.TryGetValue(key, out Series? series))
        {
            _byKey.Add(key, series = new Series(_byKey.Count + 1, key));
            _changed.Add(series);
        }

        return series;
    }

    /// <summary>Sets the last reading of a series.</summary>
    public void SetLast(Series series, Sample? last)
    {
        series.Last = last;
        _changed.Add(series);
    }

    /// <summary>Writes what changed.</summary>
    public void Save()
    {
        foreach (Series series in _changed)
        {
            byte[] key = new byte[sizeof(uint)];
            BinaryPrimitives.WriteUInt32BigEndian(key, (uint)series.Number);
            _tables.Put(Table.Series, key, Encode(series));
        }

        _changed.Clear();
    }

    private static byte[] Encode(Series series)
    {
        byte[] item = Encoding.UTF8.GetBytes(series.Key.Item.Value);
        byte[] sensor = Encoding.UTF8.GetBytes(series.Key.Sensor);
        byte[] node = Encoding.ASCII.GetBytes(series.Last?.Key.Origin.Node.Value ?? "");
        var writer = new ColumnWriter((8 * ColumnWriter.MaxNumber) + item.Length + sensor.Length + node.Length);
        writer.Number((ulong)series.Key.Quantity);
        writer.Number((ulong)item.Length);
        writer.Raw(item);
        writer.Number((ulong)sensor.Length);
        writer.Raw(sensor);
        writer.Number((ulong)node.Length);
        writer.Raw(node);
        if (series.Last is { } last)
        {
            writer.Signed(last.TimeNanoseconds);
            writer.Number(last.Key.Origin.Epoch);
            writer.Number(last.Key.Sequence);
            writer.Signed(last.Units);
        }

        return SegmentFormat.Seal(writer.Written, null);
    }

    private static Series Decode(int number, ReadOnlyMemory<byte> block)
    {
        var reader = new ColumnReader(block);
        var quantity = (SeriesQuantity)(int)reader.Number();
        string item = Encoding.UTF8.GetString(reader.Raw((int)reader.Number()).Span);
        string sensor = Encoding.UTF8.GetString(reader.Raw((int)reader.Number()).Span);
        string node = Encoding.ASCII.GetString(reader.Raw((int)reader.Number()).Span);
        var series = new Series(number, new SeriesKey(KitId.Parse(item), quantity, sensor));
        if (node.Length > 0)
        {
            long time = reader.Signed();
            var origin = new OriginId(NodeId.Parse(node), reader.Number());
            series.Last = new Sample(time, new ReportKey(origin, reader.Number()), reader.Signed());
        }

        return series;
    }
}
