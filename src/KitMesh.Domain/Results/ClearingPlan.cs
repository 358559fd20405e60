using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>What to clear from an intermediate drive tonight, so that tomorrow fits.</summary>
/// <param name="Drive">The drive.</param>
/// <param name="RoomWanted">Room for tomorrow: what its team shoots on nine days of ten.</param>
/// <param name="Free">Bytes free now.</param>
/// <param name="Clear">Days to clear, in this order; none when tomorrow fits as it is.</param>
/// <param name="FreeAfter">Bytes free after it.</param>
/// <param name="Enough">Whether tomorrow fits then.</param>
/// <param name="Words">The plan as a person reads it.</param>
public sealed record ClearingPlan(
    KitId Drive,
    ByteCount RoomWanted,
    ByteCount Free,
    ValueList<ClearingStep> Clear,
    ByteCount FreeAfter,
    bool Enough,
    string Words);
