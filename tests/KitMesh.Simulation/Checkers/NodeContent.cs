using System.Security.Cryptography;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Mutants;

namespace KitMesh.Simulation.Checkers;

/// <summary>All that a node holds at the end, read back from its journal.</summary>
internal sealed class NodeContent
{
    private readonly List<RawReport> _inOrderOfArrival = [];

    /// <param name="journal">Its journal.</param>
    /// <param name="mayRepeat">Whether a bit was turned on its disk: what was mended can then come twice.</param>
    internal NodeContent(IJournalView journal, bool mayRepeat)
    {
        foreach (JournalEntry entry in journal.Replay(JournalPosition.Start))
        {
            var content = Sha256Hash.Of(entry.Report.Bytes.Span);
            _inOrderOfArrival.Add(entry.Report);
            if (!Reports.Add((entry.Report.Key, content)) && !mayRepeat)
            {
                throw new WorldFault($"{journal.Own.Node} replays {entry.Report.Key} twice.");
            }
        }
    }

    internal HashSet<(ReportKey Key, Sha256Hash Content)> Reports { get; } = [];

    internal Sha256Hash StateFingerprint(Mutant mutant)
    {
        List<ContentReport> decoded = [.. _inOrderOfArrival.Select(raw => new ContentReport(ReportCodec.Decode(raw), Sha256Hash.Of(raw.Bytes.Span)))];
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
}
