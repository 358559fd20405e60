using KitMesh.Domain.Exchange;

namespace KitMesh.Sync.Journal;

/// <summary>How an append of this node's own reports ended.</summary>
/// <param name="Result">The outcome.</param>
/// <param name="Sequences">The sequences given to the reports, in order; null unless durable.</param>
public sealed record OwnAppend(AppendResult Result, SequenceRange? Sequences);
