using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Drives;

/// <summary>A drive to copy to.</summary>
/// <param name="Root">The folder where it is mounted, or any folder that stands for a drive.</param>
/// <param name="Drive">Its name; null to take the name in its identity file, or the folder's name when it has none yet.</param>
public sealed record DriveTarget(string Root, KitId? Drive = null);
