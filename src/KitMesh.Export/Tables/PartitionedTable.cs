using System.Globalization;
using System.Text;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;
using Parquet;
using Parquet.Schema;

namespace KitMesh.Export.Tables;

// Problem: a trip's reports as tables that any query engine reads as they are, from a journal that is larger than memory and in no order of time.
// Method: rows gather by team and day; when more than a bound are held, the fullest partitions go to disk as another part file. Partitions are folders named
// column=value, which engines read as columns. Nothing is sorted across parts: order is a query's business. One part is written while the next rows gather, never two.

/// <summary>One table on its way to disk.</summary>
/// <typeparam name="TRow">Its rows.</typeparam>
internal sealed class PartitionedTable<TRow>(string folder, string name, TableFormat format, int mostRows, IReadOnlyList<TableColumn<TRow>> columns) : IAsyncDisposable
{
    internal const int Schema = 2;

    private readonly Dictionary<(string Team, LocalDate Day), List<TRow>> _held = [];
    private readonly Dictionary<(string Team, LocalDate Day), int> _parts = [];
    private readonly ParquetSchema _schema = new(columns.Select(column => column.Field).ToArray());
    private Task _writing = Task.CompletedTask;
    private int _rows;

    /// <summary>Rows taken in.</summary>
    internal long Count { get; private set; }

    /// <summary>Part files written; grows while one is being written.</summary>
    internal List<TableFile> Files { get; } = [];

    internal async ValueTask AddAsync(KitId? team, LocalDate day, TRow row, CancellationToken cancellation)
    {
        (string, LocalDate) partition = (team?.Value ?? "none", day);
        if (!_held.TryGetValue(partition, out List<TRow>? rows))
        {
            _held.Add(partition, rows = []);
        }

        rows.Add(row);
        Count++;
        _rows++;
        while (_rows > mostRows)
        {
            await FlushAsync(_held.MaxBy(entry => entry.Value.Count).Key, cancellation).ConfigureAwait(false);
        }
    }

    internal async Task CompleteAsync(CancellationToken cancellation)
    {
        foreach ((string Team, LocalDate Day) partition in _held.Keys.ToArray())
        {
            await FlushAsync(partition, cancellation).ConfigureAwait(false);
        }

        await _writing.ConfigureAwait(false);
    }

    /// <summary>Waits for the part that is being written, whatever comes of it.</summary>
    public async ValueTask DisposeAsync() => await _writing.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);

    private async Task FlushAsync((string Team, LocalDate Day) partition, CancellationToken cancellation)
    {
        await _writing.ConfigureAwait(false);
        _held.Remove(partition, out List<TRow>? rows);
        int part = _parts.GetValueOrDefault(partition);
        _parts[partition] = part + 1;
        _rows -= rows!.Count;
        string into = Path.Combine(folder, name, $"team={Uri.EscapeDataString(partition.Team)}", $"day={LocalDatePattern.Iso.Format(partition.Day)}");
        string file = Path.Combine(into, string.Create(CultureInfo.InvariantCulture, $"part-{part:0000}"));
        _writing = Task.Run(() => WriteAsync(into, file, rows, cancellation), CancellationToken.None);
    }

    // Named as what it is only when it is whole: what an interrupted export leaves is no table.
    private async Task WriteAsync(string into, string file, List<TRow> rows, CancellationToken cancellation)
    {
        Directory.CreateDirectory(into);
        string whole = file + (format == TableFormat.Parquet ? ".parquet" : ".csv");
        await (format == TableFormat.Parquet ? ParquetAsync(whole + ".part", rows, cancellation) : CsvAsync(whole + ".part", rows, cancellation)).ConfigureAwait(false);
        File.Move(whole + ".part", whole);
        Files.Add(new TableFile(Path.GetRelativePath(folder, whole).Replace('\\', '/'), rows.Count, new FileInfo(whole).Length, ExportList.HashOf(whole)));
    }

    private async Task ParquetAsync(string file, List<TRow> rows, CancellationToken cancellation)
    {
        FileStream stream = File.Create(file);
        await using (stream.ConfigureAwait(false))
        {
            ParquetWriter writer = await ParquetWriter.CreateAsync(_schema, stream, cancellationToken: cancellation).ConfigureAwait(false);
            await using (writer.ConfigureAwait(false))
            {
                writer.CustomMetadata = new Dictionary<string, string> { ["kitmesh_schema"] = Schema.ToString(CultureInfo.InvariantCulture), ["kitmesh_table"] = name };
                using ParquetRowGroupWriter group = writer.CreateRowGroup();
                foreach (TableColumn<TRow> column in columns)
                {
                    await column.WriteAsync(group, rows, cancellation).ConfigureAwait(false);
                }
            }
        }
    }

    private async Task CsvAsync(string file, List<TRow> rows, CancellationToken cancellation)
    {
        var writer = new StreamWriter(file, append: false, new UTF8Encoding(false));
        await using (writer.ConfigureAwait(false))
        {
            writer.NewLine = "\r\n";
            await writer.WriteLineAsync(string.Join(',', columns.Select(column => column.Name))).ConfigureAwait(false);
            foreach (TRow row in rows)
            {
                cancellation.ThrowIfCancellationRequested();
                await writer.WriteLineAsync(string.Join(',', columns.Select(column => column.Csv(row)))).ConfigureAwait(false);
            }
        }
    }
}
