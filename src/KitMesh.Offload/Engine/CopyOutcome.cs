using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Engine;

/// <summary>What became of one copy of one file.</summary>
/// <param name="Drive">The drive.</param>
/// <param name="State">How far it came.</param>
/// <param name="Path">Path on the drive; the planned one when it was not made.</param>
/// <param name="Level">How surely the read-back came from the medium, where it was read back.</param>
/// <param name="Failure">Why it failed, where it did.</param>
/// <param name="Detail">What the system said.</param>
public sealed record CopyOutcome(
    KitId Drive,
    CopyState State,
    string Path,
    ReadBackLevel? Level = null,
    CopyFailure? Failure = null,
    string? Detail = null)
{
    /// <summary>Whether the copy is proof under the copy rule: read back, and not out of memory.</summary>
    public bool IsProof => State is CopyState.Verified or CopyState.VerifiedBefore && Level is > ReadBackLevel.Cached;
}
