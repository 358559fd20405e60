using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal;

/// <summary>What of one origin is durable here: the answer to "what do you have?" in a hello.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Ranges">
/// Every sequence that is durable here or was dropped on purpose (acknowledged upstream, waived): none of it needs
/// sending again. What was found damaged is not in it.
/// </param>
/// <param name="Kept">The part of <paramref name="Ranges"/> that can still be read back.</param>
/// <param name="ChainSequence">The last sequence of the gapless run from 1 for which the chain hash is known; 0 without one.</param>
/// <param name="ChainHash">The chain hash there (see <see cref="ReportChain"/>).</param>
/// <param name="Forks">Reports kept whose sequence stood already with other content, in ascending order.</param>
public sealed record OriginHolding(
    OriginId Origin,
    SequenceRanges Ranges,
    SequenceRanges Kept,
    ulong ChainSequence,
    Sha256Hash ChainHash,
    ValueList<ReportContent> Forks);
