using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Handover;

/// <summary>One clip that goes into a bag.</summary>
/// <param name="Clip">Its hash.</param>
/// <param name="Size">Its bytes.</param>
/// <param name="Payload">Its path in the bag's payload, without "data/".</param>
/// <param name="From">Files that hold it, tried in this order.</param>
public sealed record BagItem(ClipHash Clip, long Size, string Payload, IReadOnlyList<string> From);
