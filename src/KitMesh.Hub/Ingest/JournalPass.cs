using KitMesh.Domain.Reports;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Hub.Ingest;

/// <summary>Ways to go through the journal.</summary>
internal static class JournalPass
{
    /// <summary>A chunk is closed past this many reports, at the next end of a frame.</summary>
    public const int ChunkReports = 20_000;

    /// <summary>What stands between two positions, decoded.</summary>
    public static IEnumerable<DecodedEntry> Decode(IJournalView journal, JournalPosition from, JournalPosition until) =>
        Entries(journal, from, until).Select(Decode);

    /// <summary>The same, but only the kinds that are wanted. What cannot be told without decoding comes too.</summary>
    public static IEnumerable<DecodedEntry> Decode(IJournalView journal, JournalPosition from, JournalPosition until, Func<ReportKind, bool> wanted) =>
        Entries(journal, from, until)
            .Where(entry => BodyPeek.KindOf(entry.Report.Bytes.Span) is not { } kind || wanted(kind))
            .Select(Decode);

    /// <summary>
    /// Chunks that end where a frame of the journal ends, because only there a replay can go on. A frame is never longer than
    /// what a batch of the store may have beyond a chunk.
    /// </summary>
    public static IEnumerable<List<DecodedEntry>> Chunks(IEnumerable<DecodedEntry> entries)
    {
        var chunk = new List<DecodedEntry>();
        foreach (DecodedEntry entry in entries)
        {
            if (chunk.Count >= ChunkReports && chunk[^1].Next != entry.Next)
            {
                yield return chunk;
                chunk = [];
            }

            chunk.Add(entry);
        }

        if (chunk.Count > 0)
        {
            yield return chunk;
        }
    }

    private static IEnumerable<JournalEntry> Entries(IJournalView journal, JournalPosition from, JournalPosition until) =>
        journal.Replay(from).TakeWhile(entry => entry.Next.CompareTo(until) <= 0);

    private static DecodedEntry Decode(JournalEntry entry)
    {
        // Copied, for the journal reads in pieces of megabytes, and one report must not keep a piece alive.
        var raw = new RawReport(entry.Report.Key, entry.Report.Bytes.ToArray());
        return new DecodedEntry(raw, ReportCodec.Decode(raw), entry.Arrival, entry.Next);
    }
}
