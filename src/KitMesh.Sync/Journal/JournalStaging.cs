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
        OriginId? current = null;
        for (int i = 0; i < reports.Count; i++)
        {
            RawReport report = reports[i];
            if (current != report.Key.Origin)
            {
                current = report.Key.Origin;
                _kept = KeptContents(current.Value, reports, i);
            }

            StageOne(report, arrival);
        }

        return new StageOutcome(_written, _duplicates, _forks, _leftOut);
    }

    private void StageOne(in RawReport report, long arrival)
    {
        OriginIndex? known = index.Find(report.Key.Origin);
        Sha256Hash content = Sha256Hash.Of(report.Bytes.Span);
        bool isStanding = group.TryFind(report.Key, out Sha256Hash first) || _kept.TryGetValue(report.Key.Sequence, out first);
        if (!isStanding && known?.Known.Contains(report.Key.Sequence) != true)
        {
            group.Add(report, content, arrival);
            _written++;
        }
        else if (!isStanding || first == content || IsForkAlready(known, report.Key, content))
        {
            // Known and not kept means dropped on purpose: there is nothing to compare with.
            _duplicates++;
        }
        else if ((known?.Forks.Count ?? 0) + group.ForksOf(report.Key.Origin) >= maxForks)
        {
            _leftOut++;
        }
        else
        {
            group.AddFork(report, content, arrival);
            _forks.Add(report.Key);
        }
    }

    private bool IsForkAlready(OriginIndex? known, ReportKey key, Sha256Hash content) =>
        group.HasFork(key, content) || known?.Forks.Any(fork => fork.Content == new ReportContent(key.Sequence, content)) == true;

    /// <summary>What is kept of the sequences that one origin's part of a batch repeats.</summary>
    private Dictionary<ulong, Sha256Hash> KeptContents(OriginId origin, IReadOnlyList<RawReport> reports, int from)
    {
        var kept = new Dictionary<ulong, Sha256Hash>();
        OriginIndex? known = index.Find(origin);
        if (known is null)
        {
            return kept;
        }

        IEnumerable<SequenceRange> sequences = reports
            .Skip(from)
            .TakeWhile(report => report.Key.Origin == origin)
            .Select(report => new SequenceRange(report.Key.Sequence, report.Key.Sequence));
        foreach (SequenceRange repeated in SequenceRanges.FromUnordered(sequences).Intersect(known.Kept))
        {
            foreach (RawReport report in ReadAll(origin, repeated))
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
