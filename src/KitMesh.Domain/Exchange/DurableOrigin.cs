using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Exchange;

/// <summary>What became durable of one origin.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Ranges">The sequences.</param>
/// <param name="ChainSequence">
/// Of an origin that the one who is told writes itself: the end of the gapless run from 1 that is held. 0 for other origins,
/// and from nodes that do not tell it.
/// </param>
/// <param name="ChainHash">The chain hash there: it says which reports the sequences stand for.</param>
public sealed record DurableOrigin(OriginId Origin, SequenceRanges Ranges, ulong ChainSequence = 0, Sha256Hash ChainHash = default);
