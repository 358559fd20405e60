using KitMesh.Protocol;
using KitMesh.Domain.Reports;
using KitMesh.Storage.Queries;
using KitMesh.Storage.Segments;

namespace KitMesh.Storage.LiteDb;

/// <summary>Finds reports by kind, item and time.</summary>
/// <remarks>
/// Problem: segments are ordered by origin and sequence, questions by time. Method: the descriptions in memory say which
/// segments can hold an answer; those are opened by ascending time bound, and only as long as a later one could still
/// hold a report that belongs on the page. The page itself is a heap with the page's limit as its bound.
/// </remarks>
internal sealed class SegmentScan(SegmentTable segments, ReportDecoder decode)
{
    /// <summary>Answers one page.</summary>
    public ReportPage Page(ReportQuery query)
    {
        // Times are turned over for newest first, so that one order serves both.
        var best = new PriorityQueue<KeptReport, Place>(Comparer<Place>.Create((a, b) => Ordered(query, b, a)));
        (long first, long last) = query.Bounds();
        foreach (SegmentInfo info in Candidates(query, first, last))
        {
            if (best.Count > query.Limit && best.TryPeek(out KeptReport? _, out Place worst) && IsPast(query, info, worst))
            {
                break;
            }

            Collect(query, info, (first, last), best);
        }

        var page = new List<KeptReport>(best.Count);
        bool more = best.Count > query.Limit;
        while (best.TryDequeue(out KeptReport? report, out Place _))
        {
            page.Add(report);
        }

        page.Reverse();
        if (!more)
        {
            return new ReportPage(page, null);
        }

        page.RemoveAt(page.Count - 1);
        return new ReportPage(page, PagePosition.Of(page[^1]));
    }

    private IEnumerable<SegmentInfo> Candidates(ReportQuery query, long first, long last)
    {
        ulong kinds = ulong.MaxValue;
        if (query.Kinds is { } wanted)
        {
            kinds = wanted.Aggregate(0UL, (bits, kind) => bits | SegmentInfo.BitOf(kind));
        }

        ulong items = query.Item is { } item ? SegmentInfo.BitOf(item) : ulong.MaxValue;
        IEnumerable<SegmentInfo> fitting = segments.Index.All
            .Where(info => info.Newest >= first && info.Oldest <= last && (info.Kinds & kinds) != 0 && (query.Item is null || (info.Items & items) != 0));
        return query.NewestFirst ? fitting.OrderByDescending(info => info.Newest) : fitting.OrderBy(info => info.Oldest);
    }

    private void Collect(ReportQuery query, SegmentInfo info, (long First, long Last) bounds, PriorityQueue<KeptReport, Place> best)
    {
        SegmentEntry[] entries = segments.Read(info);
        for (int i = 0; i < entries.Length; i++)
        {
            SegmentEntry entry = entries[i];
            if (entry.TimeNanoseconds < bounds.First || entry.TimeNanoseconds > bounds.Last || (query.Kinds is { } kinds && !kinds.Contains(entry.Kind)))
            {
                continue;
            }

            var key = new ReportKey(info.Origin, info.First + (ulong)i);
            var place = new Place(entry.TimeNanoseconds, key, entry.Bytes, null);
            if (query.After is { } after && Ordered(query, place, Place.Of(after)) <= 0)
            {
                continue;
            }

            if (best.Count > query.Limit && best.TryPeek(out KeptReport? _, out Place worst) && Ordered(query, place, worst) >= 0)
            {
                continue;
            }

            var raw = new RawReport(key, entry.Bytes);
            if (query.Item is { } item && !ReportItems.Names(decode(raw).Body, item))
            {
                continue;
            }

            best.Enqueue(new KeptReport(raw, Nanoseconds.ToInstant(entry.TimeNanoseconds), Nanoseconds.ToInstant(entry.ArrivedNanoseconds)), place);
            if (best.Count > query.Limit + 1)
            {
                best.Dequeue();
            }
        }
    }

    private static int Ordered(ReportQuery query, Place a, Place b) => query.NewestFirst ? b.CompareTo(a) : a.CompareTo(b);

    private static bool IsPast(ReportQuery query, SegmentInfo info, Place worst) =>
        query.NewestFirst ? info.Newest < worst.Time : info.Oldest > worst.Time;

    /// <summary>A <see cref="PagePosition"/> that hashes its report only where a fork makes it tie with another one.</summary>
    private readonly record struct Place(long Time, ReportKey Key, ReadOnlyMemory<byte> Bytes, UInt128? Content) : IComparable<Place>
    {
        public static Place Of(PagePosition position) => new(Nanoseconds.Of(position.Time), position.Key, default, position.Content);

        public int CompareTo(Place other)
        {
            int byTime = Time.CompareTo(other.Time);
            int byKey = byTime != 0 ? byTime : Key.CompareTo(other.Key);
            return byKey != 0 ? byKey : Hash().CompareTo(other.Hash());
        }

        private UInt128 Hash() => Content ?? Sha256Hash.Of(Bytes.Span).High;
    }
}
