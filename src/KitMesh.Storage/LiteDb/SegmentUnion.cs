using KitMesh.Domain.Reports;
using KitMesh.Storage.Segments;

namespace KitMesh.Storage.LiteDb;

/// <summary>Adds reports to segments: a set union, in few writes.</summary>
/// <remarks>
/// Problem: reports trickle in one by one or flood in by the thousand, in order or not, and each must end in a segment of
/// about 1,000. Trap: appending one report to a segment of 1,000 rewrites them all, so a trickle would write a thousand
/// times what it brings. Method: a new run becomes a segment of its own and is joined with its neighbour only when that one
/// is at most twice as long (as in a log-structured merge), so each report is rewritten about log(1,000) times; a neighbour
/// that the run can fill to the brim is filled.
/// </remarks>
internal sealed class SegmentUnion(SegmentTable segments, int fullCount)
{
    /// <summary>A report to add.</summary>
    internal readonly record struct Addition(ulong Sequence, SegmentEntry Entry, ulong Items, int Position);

    /// <summary>What became of the reports, by their position in the write.</summary>
    internal enum Fate
    {
        Added,
        Duplicate,
        Fork,
    }

    /// <summary>Adds reports of one origin.</summary>
    /// <param name="origin">The origin.</param>
    /// <param name="additions">The reports in any order; sorted in place.</param>
    /// <param name="fates">Filled in by position.</param>
    public void Add(OriginId origin, List<Addition> additions, Fate[] fates)
    {
        // A stable order: of two reports with one sequence the one that came first is the first.
        additions.Sort((a, b) => a.Sequence != b.Sequence ? a.Sequence.CompareTo(b.Sequence) : a.Position.CompareTo(b.Position));
        var run = new List<Addition>();
        ulong last = segments.Index.LastOf(origin);
        foreach (Addition addition in additions)
        {
            if (run.Count > 0 && run[^1].Sequence == addition.Sequence)
            {
                fates[addition.Position] = Beside(origin, addition, run[^1].Entry.Bytes);
            }
            else if (addition.Sequence <= last && segments.Index.Holding(origin, addition.Sequence) is { } holder)
            {
                fates[addition.Position] = Beside(origin, addition, segments.Read(holder)[addition.Sequence - holder.First].Bytes);
            }
            else
            {
                if (run.Count > 0 && run[^1].Sequence + 1 != addition.Sequence)
                {
                    Place(origin, run);
                }

                run.Add(addition);
            }
        }

        Place(origin, run);
    }

    private Fate Beside(OriginId origin, Addition addition, ReadOnlyMemory<byte> standing)
    {
        if (addition.Entry.Bytes.Span.SequenceEqual(standing.Span))
        {
            return Fate.Duplicate;
        }

        return segments.WriteFork(origin, addition.Sequence, addition.Entry, addition.Items) ? Fate.Fork : Fate.Duplicate;
    }

    private void Place(OriginId origin, List<Addition> run)
    {
        if (run.Count == 0)
        {
            return;
        }

        ulong first = run[0].Sequence;
        ulong items = 0;
        var entries = new List<SegmentEntry>(run.Count);
        foreach (Addition addition in run)
        {
            entries.Add(addition.Entry);
            items |= addition.Items;
        }

        run.Clear();
        JoinLeft(origin, ref first, entries, ref items);
        JoinRight(origin, first, entries, ref items);
        for (int at = 0; at < entries.Count; at += fullCount)
        {
            int count = Math.Min(fullCount, entries.Count - at);
            segments.Write(origin, first + (ulong)at, [.. entries.GetRange(at, count)], items);
        }
    }

    private void JoinLeft(OriginId origin, ref ulong first, List<SegmentEntry> entries, ref ulong items)
    {
        while (first > 1 && segments.Index.Holding(origin, first - 1) is { } left && IsWorthJoining(left, entries.Count))
        {
            entries.InsertRange(0, segments.Read(left));
            items |= left.Items;
            first = left.First;
            segments.Delete(left);
        }
    }

    private void JoinRight(OriginId origin, ulong first, List<SegmentEntry> entries, ref ulong items)
    {
        while (segments.Index.Holding(origin, first + (ulong)entries.Count) is { } right && IsWorthJoining(right, entries.Count))
        {
            entries.AddRange(segments.Read(right));
            items |= right.Items;
            segments.Delete(right);
        }
    }

    private bool IsWorthJoining(SegmentInfo neighbour, int count) =>
        neighbour.Count < fullCount && (neighbour.Count <= 2 * count || neighbour.Count + count >= fullCount);
}
