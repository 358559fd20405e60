using KitMesh.Domain.Reports;

namespace KitMesh.Storage.Segments;

/// <summary>What is known of a segment without opening it.</summary>
/// <param name="Origin">Whose reports they are.</param>
/// <param name="First">Sequence of the first; the others follow without a gap.</param>
/// <param name="Count">How many.</param>
/// <param name="Oldest">The least time in it, in Unix nanoseconds.</param>
/// <param name="Newest">The greatest time in it.</param>
/// <param name="LastArrival">The latest arrival in it.</param>
/// <param name="Kinds">One bit for each kind in it.</param>
/// <param name="Items">One bit for each item named in it; several items share a bit, so a set bit only says "perhaps".</param>
/// <param name="IsFork">Whether this is a report beside an earlier one of the same sequence.</param>
internal sealed record SegmentInfo(
    OriginId Origin,
    ulong First,
    int Count,
    long Oldest,
    long Newest,
    long LastArrival,
    ulong Kinds,
    ulong Items,
    bool IsFork = false)
{
    /// <summary>Sequence of the last report.</summary>
    public ulong Last => First + (ulong)Count - 1;

    /// <summary>Describes entries.</summary>
    public static SegmentInfo Of(OriginId origin, ulong first, ReadOnlySpan<SegmentEntry> entries, ulong items, bool isFork = false)
    {
        long oldest = long.MaxValue, newest = long.MinValue, arrival = long.MinValue;
        ulong kinds = 0;
        foreach (SegmentEntry entry in entries)
        {
            oldest = Math.Min(oldest, entry.TimeNanoseconds);
            newest = Math.Max(newest, entry.TimeNanoseconds);
            arrival = Math.Max(arrival, entry.ArrivedNanoseconds);
            kinds |= BitOf(entry.Kind);
        }

        return new SegmentInfo(origin, first, entries.Length, oldest, newest, arrival, kinds, items, isFork);
    }

    /// <summary>The bit of a kind. Kinds past 63 share the last bit.</summary>
    public static ulong BitOf(ReportKind kind) => 1UL << Math.Clamp((int)kind, 0, 63);

    /// <summary>The bit of an item: FNV-1a (public domain, 64-bit) over the name's UTF-16 units.</summary>
    public static ulong BitOf(KitId item)
    {
        ulong hash = 14695981039346656037;
        foreach (char unit in item.Value)
        {
            hash = (hash ^ unit) * 1099511628211;
        }

        return 1UL << (int)((hash >> 32) & 63);
    }
}
