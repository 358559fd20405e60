using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Sync.Seals;

/// <summary>Follows the chain of one origin from one signed value to the next.</summary>
/// <remarks>
/// Where a sequence has several contents, each is followed: the writer's own history is one of the ways through. Trap: the
/// ways double with each fork, so past <see cref="MostWays"/> the walk gives up. Which content came first would tell the ways
/// apart cheaply, but it differs from hub to hub, and all must come to the same result.
/// </remarks>
internal static class SealWalk
{
    /// <summary>Six sequences of two contents each.</summary>
    public const int MostWays = 64;

    private const int ReadBytes = 256 << 10;

    internal enum End
    {
        /// <summary>Not everything is here.</summary>
        Incomplete,

        /// <summary>One way leads to the signed value.</summary>
        Fits,

        /// <summary>No way does: the writer signed something else.</summary>
        Differs,

        /// <summary>There are too many ways.</summary>
        TooManyWays,
    }

    public static End Follow(IJournalView journal, OriginId origin, (ulong Sequence, Sha256Hash Chain) from, (ulong Sequence, Sha256Hash Chain) to)
    {
        var range = new SequenceRange(from.Sequence + 1, to.Sequence);
        SequenceRanges kept = (journal.Have(origin)?.Kept ?? SequenceRanges.Empty).Intersect(SequenceRanges.Of(range));
        if (kept.Numbers != range.Count)
        {
            return End.Incomplete;
        }

        List<Sha256Hash> ways = [from.Chain];
        ulong next = range.First;
        while (next <= range.Last)
        {
            IReadOnlyList<RawReport> reports = journal.Read(origin, new SequenceRange(next, range.Last), ReadBytes).Reports;
            int at = 0;
            while (at < reports.Count && reports[at].Key.Sequence == next)
            {
                int first = at;
                while (at < reports.Count && reports[at].Key.Sequence == next)
                {
                    at++;
                }

                if (ways.Count * (at - first) > MostWays)
                {
                    return End.TooManyWays;
                }

                Step(ways, reports, first, at);
                next++;
            }

            if (at < reports.Count || at == 0)
            {
                return End.Incomplete;
            }
        }

        return ways.Contains(to.Chain) ? End.Fits : End.Differs;
    }

    private static void Step(List<Sha256Hash> ways, IReadOnlyList<RawReport> reports, int first, int end)
    {
        int before = ways.Count;
        for (int content = first + 1; content < end; content++)
        {
            for (int way = 0; way < before; way++)
            {
                ways.Add(ReportChain.Next(ways[way], reports[content].Key.Sequence, reports[content].Bytes.Span));
            }
        }

        for (int way = 0; way < before; way++)
        {
            ways[way] = ReportChain.Next(ways[way], reports[first].Key.Sequence, reports[first].Bytes.Span);
        }
    }
}
