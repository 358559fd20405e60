using KitMesh.Domain;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal;

/// <summary>What of one origin is durable here: the answer to "what do you have?" in a hello.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Ranges">
/// Every sequence that was durable here and needs no resending, ascending, disjoint and not touching. What was dropped on
/// purpose (acknowledged upstream, thinned) stays inside; what was found damaged does not.
/// </param>
/// <param name="Kept">The part of <paramref name="Ranges"/> that can still be read back.</param>
/// <param name="PrefixEnd">The last sequence of the gapless run from 1; 0 without one.</param>
/// <param name="PrefixHash">The chain hash at <paramref name="PrefixEnd"/>.</param>
/// <param name="Forks">Reports kept whose key stood already with other content, in ascending order.</param>
public sealed record OriginHolding(
    OriginId Origin,
    ValueList<SequenceRange> Ranges,
    ValueList<SequenceRange> Kept,
    ulong PrefixEnd,
    ChainHash PrefixHash,
    ValueList<Fork> Forks);
