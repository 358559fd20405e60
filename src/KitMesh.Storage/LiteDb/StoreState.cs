using KitMesh.Domain.Reports;
using KitMesh.Storage.Segments;
using KitMesh.Sync.Journal;
using ZstdSharp;

namespace KitMesh.Storage.LiteDb;

/// <summary>Counts by kind and how far the journal is applied: one small document, written with every transaction.</summary>
internal sealed class StoreState
{
    private static readonly byte[] Key = [0];
    private readonly LiteDbTables _tables;
    private readonly SortedDictionary<ReportKind, long> _counts = [];

    public StoreState(LiteDbTables tables, Decompressor decompressor)
    {
        _tables = tables;
        if (tables.Get(Table.State, Key) is not { } stored)
        {
            return;
        }

        var reader = new ColumnReader(SegmentFormat.Open(stored, decompressor));
        AppliedTo = new JournalPosition(reader.Number(), reader.Signed());
        for (int left = (int)reader.Number(); left > 0; left--)
        {
            var kind = (ReportKind)(int)reader.Number();
            _counts.Add(kind, (long)reader.Number());
        }
    }

    /// <summary>Where in the journal the next replay goes on.</summary>
    public JournalPosition AppliedTo { get; private set; } = JournalPosition.Start;

    /// <summary>Reports by kind.</summary>
    public IReadOnlyDictionary<ReportKind, long> Counts => new SortedDictionary<ReportKind, long>(_counts);

    /// <summary>Counts a report.</summary>
    public void Count(ReportKind kind) => _counts[kind] = _counts.GetValueOrDefault(kind) + 1;

    /// <summary>Notes how far the journal is applied; never goes back.</summary>
    public void Apply(JournalPosition position)
    {
        if (position.CompareTo(AppliedTo) > 0)
        {
            AppliedTo = position;
        }
    }

    /// <summary>Writes the document.</summary>
    public void Save()
    {
        var writer = new ColumnWriter(ColumnWriter.MaxNumber * (3 + (2 * _counts.Count)));
        writer.Number(AppliedTo.Segment);
        writer.Signed(AppliedTo.Offset);
        writer.Number((ulong)_counts.Count);
        foreach ((ReportKind kind, long count) in _counts)
        {
            writer.Number((uint)kind);
            writer.Number((ulong)count);
        }

        _tables.Put(Table.State, Key, SegmentFormat.Seal(writer.Written, null));
    }
}
