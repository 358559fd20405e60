using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>An intermediate drive, such as a station's own disk: it is a card to the copy rule, and is cleared again and again.</summary>
/// <param name="Drive">The drive.</param>
/// <param name="Team">The team that has it; null when nobody said.</param>
/// <param name="Capacity">Size of its file system; null when not known.</param>
/// <param name="Free">Bytes free; null when not known.</param>
/// <param name="Size">Bytes of the clips on it.</param>
/// <param name="MayBeCleared">Bytes of them that may be cleared.</param>
/// <param name="Steps">By team and day: what may be cleared first, safest first, then what may not, oldest first.</param>
public sealed record ClearingRow(
    KitId Drive,
    KitId? Team,
    ByteCount? Capacity,
    ByteCount? Free,
    ByteCount Size,
    ByteCount MayBeCleared,
    ValueList<ClearingStep> Steps);
