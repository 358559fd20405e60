using KitMesh.Disk;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain;
using KitMesh.Domain.State;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.TestKit.Agent;

/// <summary>What a journal's folder holds once its process is gone.</summary>
/// <param name="Origin">An origin.</param>
/// <param name="Ranges">Its sequences.</param>
/// <param name="ChainHash">The chain hash over all of them, in text; empty when there are gaps.</param>
public sealed record JournalInspection(OriginId Origin, SequenceRanges Ranges, string ChainHash)
{
    /// <summary>Looks into a folder; nobody else may have it open.</summary>
    /// <param name="folder">The journal's folder.</param>
    /// <param name="node">The node that writes it.</param>
    public static IReadOnlyList<JournalInspection> Of(string folder, NodeId node)
    {
        JournalOpening opening = Journal.Open(new PhysicalDisk(), new JournalOptions { Folder = folder, Node = node }, 1, 2);
        if (opening is not JournalOpening.Opened opened)
        {
            throw new InvalidOperationException(opening.ToString());
        }

        using Journal journal = opened.Journal;
        return [.. journal.Have().Select(h => new JournalInspection(
            h.Origin,
            h.Ranges,
            h.Ranges.PrefixEnd == h.Ranges.Last ? journal.ChainAt(h.Origin, h.Ranges.Last)?.ToString() ?? "" : ""))];
    }

    /// <summary>The state that a replay of a journal's folder gives: how many reports, and the state fingerprint.</summary>
    /// <param name="folder">The journal's folder.</param>
    /// <param name="node">The node that writes it.</param>
    public static (ulong Reports, string Fingerprint) Replay(string folder, NodeId node)
    {
        JournalOpening opening = Journal.Open(new PhysicalDisk(), new JournalOptions { Folder = folder, Node = node }, 1, 2);
        if (opening is not JournalOpening.Opened opened)
        {
            throw new InvalidOperationException(opening.ToString());
        }

        using Journal journal = opened.Journal;
        List<ContentReport> reports = [.. journal.Replay(JournalPosition.Start).Select(e => new ContentReport(ReportCodec.Decode(e.Report), Sha256Hash.Of(e.Report.Bytes.Span)))];
        return ((ulong)reports.Count, StateFingerprint.Of(TripState.Fold(reports)).ToString());
    }
}
