using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal.Format;

/// <summary>What was known of one origin when a segment began.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Ranges">What was durable or given up.</param>
/// <param name="ChainSequence">Where the chain hash is known; 0 for none.</param>
/// <param name="Chain">The chain hash there.</param>
internal sealed record StandingOrigin(OriginId Origin, SequenceRanges Ranges, ulong ChainSequence, Sha256Hash Chain);
