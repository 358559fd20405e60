using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Exchange;

/// <summary>What a node holds of one origin.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Ranges">The sequences that it holds on disk or has waived.</param>
/// <param name="ChainSequence">The highest sequence for which it can tell the chain hash; 0 for none.</param>
/// <param name="ChainHash">The chain hash there.</param>
/// <param name="Own">True for the origin that the node itself writes.</param>
public sealed record Holding(OriginId Origin, SequenceRanges Ranges, ulong ChainSequence, Sha256Hash ChainHash, bool Own = false);
