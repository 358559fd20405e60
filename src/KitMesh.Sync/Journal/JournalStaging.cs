using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal;

/// <summary>Sorts a batch into new reports, duplicates and forks, against what is durable and what is gathered already.</summary>
internal sealed class JournalStaging(JournalIndex index, JournalReader reader, JournalGroup group, int maxForks)
{
    private readonly List<ReportKey> _forks = [];
    private Dictionary<ulong, Sha256Hash> _kept = [];
    private int _written;
    private int _duplicates;
    private int _leftOut;

    internal StageOutcome Stage(IReadOnlyList<RawReport> reports, long arrival)
    {
        for (int from = 0; from < reports.Count;)
        {
            int to = EndOfOrigin(reports, from, out bool ascends);
            OriginId origin = reports[from].Key.Origin;
            OriginIndex? known = index.Find(origin);
            if (ascends && reports[from].Key.Sequence > Math.Max(known?.Known.Last ?? 0, group.HighestOf(origin)))
            {
                // Past everything there is of the origin: nothing to compare with.
                group.Add(reports, from, to, arrival);
                _written += to - from;
            }
            else
            {
                _kept = KeptContents(known, reports, from, to);
                for (int i = from; i < to; i++)
                {
                    StageOne(known, reports, i, arrival);
                }
            }

            from = to;
        }

        return new StageOutcome(_written, _duplicates, _forks, _leftOut);
    }

    /// <summary>Where the next origin's part begins, and whether the sequences before it ascend without a repeat.</summary>
    private static int EndOfOrigin(IReadOnlyList<RawReport> reports, int from, out bool ascends)
    {
        ascends = true;
        OriginId origin = reports[from].Key.Origin;
        int to = from + 1;
        for (; to < reports.Count && reports[to].Key.Origin == origin; to++)
        {
            ascends &= reports[to].Key.Sequence > reports[to - 1].Key.Sequence;
        }

        return to;
    }

    private void StageOne(OriginIndex? known, IReadOnlyList<RawReport> reports, int at, long arrival)
    {
        RawReport report = reports[at];
        bool isStanding = group.TryFind(report.Key, out Sha256Hash first) || _kept.TryGetValue(report.Key.Sequence, out first);
        if (!isStanding && known?.Known.Contains(report.Key.Sequence) != true)
        {
            group.Add(reports, at, at + 1, arrival);
            _written++;
            return;
        }

        Sha256Hash content = Sha256Hash.Of(report.Bytes.Span);
        if (!isStanding || first == content || IsForkAlready(known, report.Key, content))
        {
            // Known and not kept means dropped on purpose: there is nothing to compare with.
            _duplicates++;
        }
        else if (ForksOf(known, report.Key.Origin) >= maxForks || ForksOf(known, report.Key) >= JournalOptions.MaxForksPerSequence)
        {
            _leftOut++;
        }
        else
        {
            group.AddFork(report, content, arrival);
            _forks.Add(report.Key);
        }
    }

    private int ForksOf(OriginIndex? known, OriginId origin) => (known?.Forks.Count ?? 0) + group.ForksOf(origin);

    private int ForksOf(OriginIndex? known, ReportKey key) =>
        (known?.Forks.Count(fork => fork.Content.Sequence == key.Sequence) ?? 0) + group.ForksOf(key);

    private bool IsForkAlready(OriginIndex? known, ReportKey key, Sha256Hash content) =>
        group.HasFork(key, content) || known?.Forks.Any(fork => fork.Content == new ReportContent(key.Sequence, content)) == true;

    /// <summary>What is kept of the sequences that one origin's part of a batch repeats.</summary>
    private Dictionary<ulong, Sha256Hash> KeptContents(OriginIndex? known, IReadOnlyList<RawReport> reports, int from, int to)
    {
        var kept = new Dictionary<ulong, Sha256Hash>();
        if (known is null)
        {
            return kept;
        }

        IEnumerable<SequenceRange> sequences = reports
            .Skip(from)
            .Take(to - from)
            .Select(report => new SequenceRange(report.Key.Sequence, report.Key.Sequence));
        foreach (SequenceRange repeated in SequenceRanges.FromUnordered(sequences).Intersect(known.Kept))
        {
            foreach (RawReport report in ReadAll(known.Id, repeated))
            {
                kept.TryAdd(report.Key.Sequence, Sha256Hash.Of(report.Bytes.Span));
            }
        }

        return kept;
    }

    private IEnumerable<RawReport> ReadAll(OriginId origin, SequenceRange range)
    {
        ulong next = range.First;
        while (next <= range.Last)
        {
            IReadOnlyList<RawReport> reports = reader.Read(origin, new SequenceRange(next, range.Last), JournalOptions.MaxBatchBytes).Reports;
            foreach (RawReport report in reports)
            {
                yield return report;
            }

            if (reports.Count == 0)
            {
                yield break;
            }

            next = reports[^1].Key.Sequence + 1;
        }
    }
}
