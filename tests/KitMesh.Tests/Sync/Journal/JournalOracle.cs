using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Sync;
using JournalCore = KitMesh.Sync.Journal.Journal;

namespace KitMesh.Tests.Sync.Journal;

/// <summary>Remembers what a journal was offered and what it called durable, and compares.</summary>
internal sealed class JournalOracle
{
    private readonly Dictionary<(ReportKey Key, Sha256Hash Content), bool> _reports = [];
    private readonly HashSet<ReportKey> _waived = [];
    private readonly Dictionary<OriginId, ulong> _acknowledgedUpstream = [];

    internal int DurableCount => _reports.Count(report => report.Value);

    internal void Offer(IEnumerable<RawReport> reports)
    {
        foreach (RawReport report in reports)
        {
            _reports.TryAdd((report.Key, Content(report)), false);
        }
    }

    internal void Durable(IEnumerable<RawReport> reports)
    {
        foreach (RawReport report in reports)
        {
            _reports[(report.Key, Content(report))] = true;
        }
    }

    internal void OfferWaived(OriginId origin, SequenceRange range)
    {
        for (ulong sequence = range.First; sequence <= range.Last; sequence++)
        {
            _waived.Add(new ReportKey(origin, sequence));
        }
    }

    internal void AcknowledgedUpstream(OriginId origin, ulong upTo) => _acknowledgedUpstream[origin] = upTo;

    /// <summary>Nothing durable is lost, nothing is there that nobody wrote, and every way to ask gives the same answer.</summary>
    internal void Check(JournalCore journal)
    {
        var replayed = journal.Replay(JournalPosition.Start).ToList();
        var there = replayed.Select(entry => (entry.Report.Key, Content: Content(entry.Report))).ToHashSet();
        Assert.Equal(replayed.Count, there.Count);
        foreach (((ReportKey key, Sha256Hash content), bool isDurable) in _reports)
        {
            bool mayBeDropped = _acknowledgedUpstream.GetValueOrDefault(key.Origin) >= key.Sequence;
            Assert.True(!isDurable || mayBeDropped || there.Contains((key, content)), $"Durable report {key} is lost.");
        }

        foreach ((ReportKey key, Sha256Hash content) in there)
        {
            Assert.True(_reports.ContainsKey((key, content)), $"Report {key} was never written.");
        }

        foreach (OriginHolding holding in journal.Have())
        {
            CheckHolding(journal, holding, replayed);
        }
    }

    private void CheckHolding(JournalCore journal, OriginHolding holding, List<JournalEntry> replayed)
    {
        // Nothing in these scripts is sent out of order, so a hole would be a loss.
        Assert.True(holding.Ranges.Count <= 1, $"{holding.Origin} has gaps: {holding.Ranges}");
        var entries = replayed.Where(entry => entry.Report.Key.Origin == holding.Origin).ToList();
        var firsts = entries.Where(entry => !entry.IsFork).Select(entry => entry.Report).ToList();
        Assert.Equal(SequenceRanges.FromUnordered(firsts.Select(report => new SequenceRange(report.Key.Sequence, report.Key.Sequence))), holding.Kept);
        Assert.Equal(entries.Where(entry => entry.IsFork).Select(entry => entry.Report.Key.Sequence).Order(), holding.Forks.Select(fork => fork.Sequence));
        if (holding.Kept.IsEmpty)
        {
            return;
        }

        JournalRead read = journal.Read(holding.Origin, new SequenceRange(1, holding.Kept.Last), int.MaxValue);
        Assert.Null(read.Damage);
        Assert.Equal(entries.Select(entry => Content(entry.Report)).Order(), read.Reports.Select(Content).Order());
        if (holding.Kept.PrefixEnd == holding.Ranges.Last)
        {
            Assert.Equal((holding.Ranges.Last, ChainOf(holding.Origin, entries)), (holding.ChainSequence, holding.ChainHash));
        }
    }

    private static Sha256Hash ChainOf(OriginId origin, List<JournalEntry> entries)
    {
        Sha256Hash chain = ReportChain.Seed(origin);
        foreach (IGrouping<ulong, JournalEntry> step in entries.GroupBy(entry => entry.Report.Key.Sequence).OrderBy(group => group.Key))
        {
            chain = ChainOracle.Next(chain, step.Key, step.Select(entry => entry.Report));
        }

        return chain;
    }

    private static Sha256Hash Content(RawReport report) => Sha256Hash.Of(report.Bytes.Span);
}
