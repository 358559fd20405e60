using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One copy of one clip.</summary>
/// <param name="Drive">The drive, by its label.</param>
/// <param name="Case">The outermost declared case that the drive is in now; null when it is in none.</param>
/// <param name="Carrier">Who or what has that case (or the loose drive) now; null when nobody said.</param>
/// <param name="Path">Path on the drive.</param>
/// <param name="Size">Bytes, as last reported.</param>
/// <param name="Standing">What it is worth as proof.</param>
/// <param name="LastProven">When it was last read back from the medium with an equal hash; null if never.</param>
/// <param name="Level">How surely that reading came from the medium; null if never read back.</param>
/// <param name="Reason">Why it does not count, in words; null when it counts.</param>
public sealed record CopyRow(
    KitId Drive,
    KitId? Case,
    KitId? Carrier,
    string Path,
    ByteCount Size,
    CopyStanding Standing,
    Instant? LastProven,
    ReadBackLevel? Level,
    string? Reason);
