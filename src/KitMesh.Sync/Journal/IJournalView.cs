using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal;

/// <summary>What can be asked of a journal: everything answered is durable.</summary>
public interface IJournalView
{
    /// <summary>64 random bits minted with the journal's folder; a view built from another journal is worthless.</summary>
    ulong JournalId { get; }

    /// <summary>This node's own origin: its node and the epoch it writes in now.</summary>
    OriginId Own { get; }

    /// <summary>The end of what is durable.</summary>
    JournalPosition End { get; }

    /// <summary>What is durable here of every origin, in ascending order of origin.</summary>
    IReadOnlyList<OriginHolding> Have();

    /// <summary>What is durable here of one origin, or null when it was never heard of.</summary>
    /// <param name="origin">The origin.</param>
    OriginHolding? Have(OriginId origin);

    /// <summary>The chain hash of an origin at a sequence, or null when it cannot be known here (past the gapless run, or dropped).</summary>
    /// <param name="origin">The origin.</param>
    /// <param name="sequence">The sequence; 0 gives <see cref="ReportChain.Seed"/>.</param>
    Sha256Hash? ChainAt(OriginId origin, ulong sequence);

    /// <summary>Reads reports of one origin in sequence order, skipping what is not kept. A fork's other report follows the first of its key.</summary>
    /// <param name="origin">The origin.</param>
    /// <param name="range">The sequences wanted.</param>
    /// <param name="maxBytes">Stops before this many bytes of reports, but never between two of one sequence, and gives at least one sequence.</param>
    JournalRead Read(OriginId origin, SequenceRange range, int maxBytes);

    /// <summary>The upper half of the content hash of what stood first under a key, before any fork; null when it is not kept.</summary>
    /// <param name="key">The key.</param>
    UInt128? FirstContent(ReportKey key) =>
        Read(key.Origin, new SequenceRange(key.Sequence, key.Sequence), 1).Reports is [var first, ..] ? Sha256Hash.Of(first.Bytes.Span).High : null;

    /// <summary>The content hash of every report kept in a range, forks included, sorted.</summary>
    /// <param name="origin">The origin.</param>
    /// <param name="range">The sequences wanted.</param>
    /// <param name="most">Stops after this many sequences' entries.</param>
    IReadOnlyList<ReportContent> Contents(OriginId origin, SequenceRange range, int most);

    /// <summary>
    /// Every report kept, in the order of arrival, from a position on. Reports appended meanwhile may or may not come; after
    /// damage was mended a report can come twice.
    /// </summary>
    /// <param name="from">Where to go on; a position whose segment was dropped goes on with the next.</param>
    IEnumerable<JournalEntry> Replay(JournalPosition from);
}
