using KitMesh.Domain.Reports;
using KitMesh.Storage.Segments;

namespace KitMesh.Storage.LiteDb;

/// <summary>The barest way to put reports into this database: one block a batch, one transaction each. For comparison in measurements only.</summary>
public static class RawSegmentInsert
{
    /// <summary>Inserts batches into a new file.</summary>
    /// <param name="file">The file; it must not exist.</param>
    /// <param name="batches">Neighbouring reports of one origin each.</param>
    public static void Run(string file, IEnumerable<IReadOnlyList<RawReport>> batches)
    {
        ArgumentNullException.ThrowIfNull(batches);
        using LiteDbTables tables = LiteDbTables.Open(file, wrap: null);
        foreach (IReadOnlyList<RawReport> batch in batches)
        {
            tables.InTransaction(() =>
            {
                SegmentEntry[] entries = [.. batch.Select(report => new SegmentEntry(0, 0, ReportKind.Unknown, report.Bytes))];
                tables.Put(Table.Segments, SegmentKey.Of(batch[0].Key.Origin, batch[0].Key.Sequence), SegmentFormat.Encode(entries, null));
                return true;
            });
        }
    }
}
