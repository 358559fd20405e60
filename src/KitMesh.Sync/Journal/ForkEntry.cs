using KitMesh.Domain.Exchange;

namespace KitMesh.Sync.Journal;

/// <summary>Where a fork's report stands.</summary>
/// <param name="Content">Its sequence and content hash.</param>
/// <param name="Segment">The segment.</param>
/// <param name="Offset">Where its frame begins.</param>
/// <param name="End">Where its frame ends.</param>
internal readonly record struct ForkEntry(ReportContent Content, Segment Segment, long Offset, long End);
