using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Handover;

/// <summary>A clip that a handover promises.</summary>
/// <param name="Clip">Its hash.</param>
/// <param name="Size">Its bytes.</param>
/// <param name="Name">What to call it: source and path on the card.</param>
/// <param name="Promised">Whether a good copy was handed over; else it is known to be missing.</param>
/// <param name="Copies">Where its good copies lay.</param>
public sealed record ExpectedClip(ClipHash Clip, long Size, string Name, bool Promised, IReadOnlyList<ExpectedCopy> Copies);
