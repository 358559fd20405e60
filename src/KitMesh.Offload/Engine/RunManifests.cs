using KitMesh.Offload.Drives;
using NodaTime;

namespace KitMesh.Offload.Engine;

/// <summary>Writes the manifest of a run on each drive.</summary>
internal static class RunManifests
{
    public static void Write(OffloadRequest request, IReadOnlyList<OpenDrive> drives, OffloadDesk desk, IClock clock, List<string> remarks)
    {
    }
}
