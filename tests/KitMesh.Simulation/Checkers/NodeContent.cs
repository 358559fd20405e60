using System.Security.Cryptography;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Seals;
using KitMesh.TestKit.Mutants;
using KitMesh.TestKit.Sync;

namespace KitMesh.Simulation.Checkers;

/// <summary>All that a node holds at the end, read back from its journal.</summary>
internal sealed class NodeContent
{
    private readonly List<(RawReport Report, Sha256Hash Content)> _inOrderOfArrival = [];
    private readonly Dictionary<(ReportKey Key, Sha256Hash Content), Report> _decoded;
    private readonly string _node;

    /// <param name="journal">Its journal.</param>
    /// <param name="mayRepeat">Whether a bit was turned on its disk: what was mended can then come twice.</param>
    /// <param name="book">Known contents.</param>
    /// <param name="decoded">Reports decoded already: the same bytes are decoded once for all nodes.</param>
    internal NodeContent(IJournalView journal, bool mayRepeat, ContentBook book, Dictionary<(ReportKey Key, Sha256Hash Content), Report> decoded)
    {
        _decoded = decoded;
        _node = journal.Own.Node.Value;
        foreach (JournalEntry entry in journal.Replay(JournalPosition.Start))
        {
            Sha256Hash content = book.Of(entry.Report);
            _inOrderOfArrival.Add((entry.Report, content));
            if (!Reports.Add((entry.Report.Key, content)) && !mayRepeat)
            {
                throw new WorldFault($"{journal.Own.Node} replays {entry.Report.Key} twice.");
            }
        }
    }

    internal HashSet<(ReportKey Key, Sha256Hash Content)> Reports { get; } = [];

    /// <summary>What a node says of an origin stands for what it holds, however often it lost and regained it.</summary>
    internal void CheckChains(IEnumerable<OriginHolding> holdings)
    {
        ILookup<OriginId, RawReport> reports = _inOrderOfArrival.ToLookup(arrived => arrived.Report.Key.Origin, arrived => arrived.Report);
        foreach (OriginHolding holding in holdings.Where(holding => holding.Kept.PrefixEnd >= holding.ChainSequence))
        {
            Sha256Hash chain = ReportChain.Seed(holding.Origin);
            foreach (IGrouping<ulong, RawReport> step in reports[holding.Origin]
                .Where(report => report.Key.Sequence <= holding.ChainSequence)
                .GroupBy(report => report.Key.Sequence)
                .OrderBy(step => step.Key))
            {
                chain = ChainOracle.Next(chain, step.Key, step);
            }

            if (chain != holding.ChainHash)
            {
                throw new WorldFault($"{_node} tells a chain hash of {holding.Origin} up to {holding.ChainSequence} that its reports do not give.");
            }
        }
    }

    /// <summary>Nothing that was invented is attested, and each node's word is, up to its last seal, wherever nobody interfered.</summary>
    internal void CheckSeals(IJournalView journal, World world)
    {
        var seals = new SealBook(journal, world.SealKeys);
        _inOrderOfArrival.ForEach(arrived => seals.Add(Decode(arrived.Report, arrived.Content)));
        seals.Settle();
        if (_inOrderOfArrival.Find(arrived => world.Releases.Find(arrived.Report.Key, arrived.Content) is { } report && world.Releases.IsForged(report) && seals.Now.IsAttested(report.Key)) is { Report.Key.Sequence: > 0 } wrong)
        {
            throw new WorldFault($"{_node} takes {wrong.Report.Key} for its writer's word, and it was invented.");
        }

        foreach (IGrouping<OriginId, Report> sealing in _inOrderOfArrival
            .Select(arrived => Decode(arrived.Report, arrived.Content))
            .Where(report => IsSigned(report, world.SealKeys))
            .GroupBy(report => report.Key.Origin))
        {
            OriginHolding holding = journal.Have(sealing.Key)!;
            ulong last = sealing.Max(report => ((OriginSealed)report.Body).Sequence);
            bool isWhole = holding is { Forks.Count: 0, Ranges.Count: 1 } && holding.Ranges.PrefixEnd >= last && !world.Restored.Contains(sealing.Key.Node) && !world.Releases.HasForged(sealing.Key);
            if (isWhole && seals.Now.SealedOf(sealing.Key).PrefixEnd < last)
            {
                throw new WorldFault($"{_node} does not believe the seals of {sealing.Key}: {seals.Now.SealedOf(sealing.Key)} of 1 to {last}.");
            }
        }
    }

    // Among the drawn bodies are seals that nobody signed.
    private static bool IsSigned(Report report, ISealKeys keys) =>
        report.Body is OriginSealed seal
        && keys.Check(report.Key.Origin.Node, SealMessage.Of(report.Key.Origin, seal.Sequence, seal.Chain), seal.Signature.AsSpan()) == SealVerdict.Good;

    internal Sha256Hash StateFingerprint(Mutant mutant)
    {
        List<ContentReport> decoded = [.. _inOrderOfArrival.Select(raw => new ContentReport(Decode(raw.Report, raw.Content), raw.Content))];
        if (mutant == Mutant.StateByArrival)
        {
            var last = new SortedDictionary<ReportKind, Sha256Hash>();
            decoded.ForEach(report => last[report.Report.Body.Kind] = report.Content);
            return Sha256Hash.Read(SHA256.HashData([.. last.Values.SelectMany(hash => hash.ToArray())]));
        }

        var engine = new StateEngine(() => decoded);
        decoded.ForEach(report => engine.Add(report.Report, report.Content));
        return Domain.State.StateFingerprint.Of(engine.State);
    }

    private Report Decode(RawReport raw, Sha256Hash content)
    {
        if (!_decoded.TryGetValue((raw.Key, content), out Report? report))
        {
            _decoded[(raw.Key, content)] = report = ReportCodec.Decode(raw);
        }

        return report;
    }
}
