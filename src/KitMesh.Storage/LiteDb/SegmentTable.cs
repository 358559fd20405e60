using KitMesh.Domain.Reports;
using KitMesh.Storage.Segments;
using ZstdSharp;

namespace KitMesh.Storage.LiteDb;

/// <summary>Segments on disk, their descriptions in memory.</summary>
internal sealed class SegmentTable : IDisposable
{
    /// <summary>Decoded segments kept for the next reader: about 100 KB each.</summary>
    private const int MaxOpen = 16;

    private readonly LiteDbTables _tables;
    private readonly int _fullCount;
    private readonly Compressor _compressor;
    private readonly Decompressor _decompressor = new();
    // Forks of one sequence look alike in their description, so their keys are kept by reference.
    private readonly Dictionary<SegmentInfo, byte[]> _forkKeys = new(ReferenceEqualityComparer.Instance);
    private readonly LinkedList<(SegmentInfo Info, SegmentEntry[] Entries)> _open = [];

    public SegmentTable(LiteDbTables tables, int fullCount, int compressionLevel)
    {
        _tables = tables;
        _fullCount = fullCount;
        _compressor = new Compressor(compressionLevel);
        Load(Table.Index, isFork: false);
        Load(Table.ForkIndex, isFork: true);
    }

    /// <summary>What is there.</summary>
    public SegmentIndex Index { get; } = new();

    /// <summary>The reports of a segment.</summary>
    /// <exception cref="InvalidDataException">The segment is missing or rotten.</exception>
    public SegmentEntry[] Read(SegmentInfo info)
    {
        for (LinkedListNode<(SegmentInfo Info, SegmentEntry[] Entries)>? node = _open.First; node is not null; node = node.Next)
        {
            if (ReferenceEquals(node.Value.Info, info))
            {
                return node.Value.Entries;
            }
        }

        byte[] key = info.IsFork ? ForkKeyOf(info) : SegmentKey.Of(info.Origin, info.First);
        byte[] block = _tables.Get(info.IsFork ? Table.Forks : Table.Segments, key)
            ?? throw new InvalidDataException($"The segment of {info.Origin} at {info.First} is missing.");
        SegmentEntry[] entries = SegmentFormat.Decode(block, _decompressor);
        if (entries.Length != info.Count)
        {
            throw new InvalidDataException($"The segment of {info.Origin} at {info.First} holds {entries.Length} reports instead of {info.Count}.");
        }

        Remember(info, entries);
        return entries;
    }

    /// <summary>Writes a segment; a full one is compressed.</summary>
    public void Write(OriginId origin, ulong first, SegmentEntry[] entries, ulong items)
    {
        SegmentInfo info = SegmentInfo.Of(origin, first, entries, items);
        byte[] key = SegmentKey.Of(origin, first);
        _tables.Put(Table.Segments, key, SegmentFormat.Encode(entries, entries.Length >= _fullCount ? _compressor : null));
        _tables.Put(Table.Index, key, InfoBlock(info));
        Index.Put(info);
        Remember(info, entries);
    }

    /// <summary>Deletes a segment whose reports moved into another.</summary>
    public void Delete(SegmentInfo info)
    {
        byte[] key = SegmentKey.Of(info.Origin, info.First);
        _tables.Delete(Table.Segments, key);
        _tables.Delete(Table.Index, key);
        Index.Remove(info);
    }

    /// <summary>Keeps a report beside an earlier one of its sequence.</summary>
    /// <returns>False when this very report is there already.</returns>
    public bool WriteFork(OriginId origin, ulong sequence, SegmentEntry entry, ulong items)
    {
        byte[] key = SegmentKey.OfFork(origin, sequence, Sha256Hash.Of(entry.Bytes.Span));
        if (_tables.Get(Table.Forks, key) is not null)
        {
            return false;
        }

        SegmentInfo info = SegmentInfo.Of(origin, sequence, [entry], items, isFork: true);
        PutFork(key, info, entry);
        Index.Put(info);
        _forkKeys[info] = key;
        return true;
    }

    /// <summary>Changes the times inside a segment or fork.</summary>
    public void Retime(SegmentInfo info, SegmentEntry[] entries)
    {
        if (!info.IsFork)
        {
            Write(info.Origin, info.First, entries, info.Items);
            return;
        }

        byte[] key = ForkKeyOf(info);
        SegmentInfo changed = SegmentInfo.Of(info.Origin, info.First, entries, info.Items, isFork: true);
        PutFork(key, changed, entries[0]);
        _forkKeys.Remove(info);
        _forkKeys[changed] = key;
        Index.ReplaceFork(info, changed);
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _compressor.Dispose();
        _decompressor.Dispose();
    }

    private byte[] ForkKeyOf(SegmentInfo info) => _forkKeys[info];

    private void PutFork(byte[] key, SegmentInfo info, SegmentEntry entry)
    {
        _tables.Put(Table.Forks, key, SegmentFormat.Encode([entry], null));
        _tables.Put(Table.ForkIndex, key, InfoBlock(info));
    }

    private void Remember(SegmentInfo info, SegmentEntry[] entries)
    {
        _open.AddFirst((info, entries));
        if (_open.Count > MaxOpen)
        {
            _open.RemoveLast();
        }
    }

    private void Load(Table table, bool isFork)
    {
        foreach ((byte[] key, byte[] block) in _tables.All(table))
        {
            (OriginId origin, ulong first) = SegmentKey.Read(key);
            var reader = new ColumnReader(SegmentFormat.Open(block, _decompressor));
            var info = new SegmentInfo(origin, first, (int)reader.Number(), reader.Signed(), reader.Signed(), reader.Signed(), reader.Number(), reader.Number(), isFork);
            Index.Put(info);
            if (isFork)
            {
                _forkKeys[info] = key;
            }
        }
    }

    private static byte[] InfoBlock(SegmentInfo info)
    {
        var writer = new ColumnWriter(6 * ColumnWriter.MaxNumber);
        writer.Number((ulong)info.Count);
        writer.Signed(info.Oldest);
        writer.Signed(info.Newest);
        writer.Signed(info.LastArrival);
        writer.Number(info.Kinds);
        writer.Number(info.Items);
        return SegmentFormat.Seal(writer.Written, null);
    }
}
