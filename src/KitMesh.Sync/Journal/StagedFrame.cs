using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;

namespace KitMesh.Sync.Journal;

/// <summary>A frame of the group being gathered.</summary>
/// <param name="Kind">What it will carry.</param>
/// <param name="Origin">The origin.</param>
/// <param name="First">The first sequence.</param>
/// <param name="Arrival">When it arrived, in UTC nanoseconds since 1970.</param>
/// <param name="Payload">An empty buffer for what it will carry.</param>
internal sealed record StagedFrame(FrameKind Kind, OriginId Origin, ulong First, long Arrival, FrameBuffer Payload)
{
    /// <summary>Reports inside.</summary>
    internal uint Count { get; set; }
}
