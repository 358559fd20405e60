using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Handover;

/// <summary>Where a copy of an expected clip should lie.</summary>
/// <param name="Drive">The drive, by its label.</param>
/// <param name="Path">Path on it.</param>
public readonly record struct ExpectedCopy(KitId Drive, string Path);
