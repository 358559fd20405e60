using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Exchange;

/// <summary>Sequences of one origin.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Ranges">The sequences.</param>
public sealed record OriginRanges(OriginId Origin, SequenceRanges Ranges);
