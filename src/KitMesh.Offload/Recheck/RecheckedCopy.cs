using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Recheck;

/// <summary>What a recheck found of one copy.</summary>
/// <param name="Path">Path on the drive.</param>
/// <param name="Clip">What it should hash to.</param>
/// <param name="Size">Bytes that it should have.</param>
/// <param name="Level">How surely the bytes came from the medium; null when they were not read.</param>
/// <param name="Failure">What is wrong; null when it is good.</param>
/// <param name="Detail">In words.</param>
/// <param name="Repaired">True when a good copy from another drive was put in its place, and proven.</param>
public sealed record RecheckedCopy(
    string Path,
    ClipHash Clip,
    ByteCount Size,
    ReadBackLevel? Level,
    CopyFailure? Failure,
    string? Detail,
    bool Repaired);
