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
        var best = new PriorityQueue<KeptReport, PagePosition>(Comparer<PagePosition>.Create((a, b) => Ordered(query, b, a)));
        long from = query.From is { } first ? Nanoseconds.Of(first) : long.MinValue;
        long until = query.Until is { } end ? Nanoseconds.Of(end) : long.MaxValue;
        foreach (SegmentInfo info in Candidates(query, from, until))
        {
            if (best.Count > query.Limit && best.TryPeek(out KeptReport? _, out PagePosition worst) && IsPast(query, info, worst))
            {
                break;
            }

            Collect(query, info, from, until, best);
        }

        var page = new List<KeptReport>(best.Count);
        bool more = best.Count > query.Limit;
        while (best.TryDequeue(out KeptReport? report, out PagePosition _))
        {
            page.Add(report);
        }

        page.Reverse();
        if (!more)
        {
            return new ReportPage(page, null);
        }

        page.RemoveAt(page.Count - 1);
        KeptReport last = page[^1];
        return new ReportPage(page, new PagePosition(last.Time, last.Raw.Key));
    }

    private IEnumerable<SegmentInfo> Candidates(ReportQuery query, long from, long until)
    {
        ulong kinds = ulong.MaxValue;
        if (query.Kinds is { } wanted)
        {
            kinds = wanted.Aggregate(0UL, (bits, kind) => bits | SegmentInfo.BitOf(kind));
        }

        ulong items = query.Item is { } item ? SegmentInfo.BitOf(item) : ulong.MaxValue;
        if (query.After is { } after)
        {
            long reached = Nanoseconds.Of(after.Time);
            from = query.NewestFirst ? from : Math.Max(from, reached);
            until = query.NewestFirst && reached < until ? reached + 1 : until;
        }

        IEnumerable<SegmentInfo> fitting = segments.Index.All
            .Where(info => info.Newest >= from && info.Oldest < until && (info.Kinds & kinds) != 0 && (query.Item is null || (info.Items & items) != 0));
        return query.NewestFirst ? fitting.OrderByDescending(info => info.Newest) : fitting.OrderBy(info => info.Oldest);
    }

    private void Collect(ReportQuery query, SegmentInfo info, long from, long until, PriorityQueue<KeptReport, PagePosition> best)
    {
        SegmentEntry[] entries = segments.Read(info);
        for (int i = 0; i < entries.Length; i++)
        {
            SegmentEntry entry = entries[i];
            if (entry.TimeNanoseconds < from || entry.TimeNanoseconds >= until || (query.Kinds is { } kinds && !kinds.Contains(entry.Kind)))
            {
                continue;
            }

            var key = new ReportKey(info.Origin, info.First + (ulong)i);
            var position = new PagePosition(Nanoseconds.ToInstant(entry.TimeNanoseconds), key);
            if (query.After is { } after && Ordered(query, position, after) <= 0)
            {
                continue;
            }

            if (best.Count > query.Limit && best.TryPeek(out KeptReport? _, out PagePosition worst) && Ordered(query, position, worst) >= 0)
            {
                continue;
            }

            var raw = new RawReport(key, entry.Bytes);
            if (query.Item is { } item && !ReportItems.Names(decode(raw).Body, item))
            {
                continue;
            }

            best.Enqueue(new KeptReport(raw, position.Time, Nanoseconds.ToInstant(entry.ArrivedNanoseconds)), position);
            if (best.Count > query.Limit + 1)
            {
                best.Dequeue();
            }
        }
    }

    private static int Ordered(ReportQuery query, PagePosition a, PagePosition b) => query.NewestFirst ? b.CompareTo(a) : a.CompareTo(b);

    private static bool IsPast(ReportQuery query, SegmentInfo info, PagePosition worst)
    {
        long reached = Nanoseconds.Of(worst.Time);
        return query.NewestFirst ? info.Newest < reached : info.Oldest > reached;
    }
}
