using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Export.Handover;

/// <summary>One copy in an inventory.</summary>
/// <param name="Drive">The drive, by its label.</param>
/// <param name="Path">Path on the drive.</param>
/// <param name="Case">The case it was in; null for none.</param>
/// <param name="Standing">What it was worth as proof at the handover.</param>
/// <param name="LastProven">When it was last read back from the medium with an equal hash; null if never.</param>
/// <param name="Level">How surely that reading came from the medium.</param>
/// <param name="Reason">Why it does not count; null when it does.</param>
public sealed record InventoryCopy(
    KitId Drive,
    string Path,
    KitId? Case,
    CopyStanding Standing,
    Instant? LastProven,
    ReadBackLevel? Level,
    string? Reason)
{
    /// <summary>Whether the file is said to be there and good.</summary>
    public bool IsGood => Standing is CopyStanding.Proven or CopyStanding.Overdue;
}
