using System.Globalization;
using System.Text;
using Parquet;
using Parquet.Schema;

namespace KitMesh.Export.Tables;

/// <summary>Writes the rows of one part file. The columns are those of docs/analysis.md: names are added, never changed.</summary>
internal static class TableFile
{
    private const string Schema = "1";
    private static readonly Dictionary<string, string> Nanoseconds = new() { ["unit"] = "ns", ["meaning"] = "since 1970-01-01T00:00Z" };
    private static readonly Dictionary<string, string> ByUnitColumn = new() { ["unit"] = "column unit (UCUM)" };
    private static readonly Dictionary<string, string> Count = new() { ["unit"] = "1" };

    internal static async Task WriteParquetAsync(string file, bool isReadings, IReadOnlyList<TableRow> rows, CancellationToken cancellation)
    {
        var time = new DataField<long>("time_unix_ns");
        var node = new DataField<string>("node");
        var epoch = new DataField<string>("epoch");
        var sequence = new DataField<long>("sequence");
        var kind = new DataField<string>("kind");
        var item = new DataField<string>("item");
        var sensor = new DataField<string>("sensor");
        var quantity = new DataField<string>("quantity");
        var unit = new DataField<string>("unit");
        var value = new DataField<double>("value");
        var text = new DataField<string>("text");
        var schema = isReadings
            ? new ParquetSchema(time, node, epoch, sequence, kind, item, sensor, quantity, unit, value)
            : new ParquetSchema(time, node, epoch, sequence, kind, item, text);
        FileStream stream = File.Create(file);
        await using (stream.ConfigureAwait(false))
        {
            ParquetWriter writer = await ParquetWriter.CreateAsync(schema, stream, cancellationToken: cancellation).ConfigureAwait(false);
            await using (writer.ConfigureAwait(false))
            {
                writer.CustomMetadata = new Dictionary<string, string> { ["kitmesh_schema"] = Schema };
                using ParquetRowGroupWriter group = writer.CreateRowGroup();
                await group.WriteAsync<long>(time, (ReadOnlyMemory<long>)rows.Select(row => row.TimeUnixNanoseconds).ToArray(), null, Nanoseconds, cancellation).ConfigureAwait(false);
                await group.WriteAsync(node, Column(rows, row => row.Node), null).ConfigureAwait(false);
                await group.WriteAsync(epoch, Column(rows, row => row.Epoch), null).ConfigureAwait(false);
                await group.WriteAsync<long>(sequence, (ReadOnlyMemory<long>)rows.Select(row => row.Sequence).ToArray(), null, Count, cancellation).ConfigureAwait(false);
                await group.WriteAsync(kind, Column(rows, row => row.Kind), null).ConfigureAwait(false);
                await group.WriteAsync(item, Column(rows, row => row.Item), null).ConfigureAwait(false);
                if (!isReadings)
                {
                    await group.WriteAsync(text, Column(rows, row => row.Text), null).ConfigureAwait(false);
                    return;
                }

                await group.WriteAsync(sensor, Column(rows, row => row.Sensor), null).ConfigureAwait(false);
                await group.WriteAsync(quantity, Column(rows, row => row.Quantity), null).ConfigureAwait(false);
                await group.WriteAsync(unit, Column(rows, row => row.Unit), null).ConfigureAwait(false);
                await group.WriteAsync<double>(value, (ReadOnlyMemory<double>)rows.Select(row => row.Value).ToArray(), null, ByUnitColumn, cancellation).ConfigureAwait(false);
            }
        }
    }

    internal static async Task WriteCsvAsync(string file, bool isReadings, IReadOnlyList<TableRow> rows, CancellationToken cancellation)
    {
        var writer = new StreamWriter(file, append: false, new UTF8Encoding(false));
        await using (writer.ConfigureAwait(false))
        {
            writer.NewLine = "\r\n";
            await writer.WriteLineAsync(isReadings
                ? "time_unix_ns,node,epoch,sequence,kind,item,sensor,quantity,unit,value"
                : "time_unix_ns,node,epoch,sequence,kind,item,text").ConfigureAwait(false);
            foreach (TableRow row in rows)
            {
                cancellation.ThrowIfCancellationRequested();
                string head = string.Create(CultureInfo.InvariantCulture, $"{row.TimeUnixNanoseconds},{Quote(row.Node)},{row.Epoch},{row.Sequence},{row.Kind},{Quote(row.Item)},");
                await writer.WriteLineAsync(isReadings
                    ? string.Create(CultureInfo.InvariantCulture, $"{head}{Quote(row.Sensor)},{row.Quantity},{row.Unit},{row.Value:R}")
                    : head + Quote(row.Text)).ConfigureAwait(false);
            }
        }
    }

    private static string[] Column(IReadOnlyList<TableRow> rows, Func<TableRow, string> value) => [.. rows.Select(value)];

    private static string Quote(string text) =>
        text.AsSpan().IndexOfAny(",\"\r\n") < 0 ? text : $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";
}
