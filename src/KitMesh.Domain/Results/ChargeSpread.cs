using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Results;

/// <summary>Quantiles of a state of charge over all paths.</summary>
/// <param name="P05">One path in twenty lies below.</param>
/// <param name="P10">One path in ten lies below.</param>
/// <param name="P25">One path in four lies below.</param>
/// <param name="P50">The median.</param>
/// <param name="P75">One path in four lies above.</param>
/// <param name="P90">One path in ten lies above.</param>
/// <param name="P95">One path in twenty lies above.</param>
public sealed record ChargeSpread(
    StateOfCharge P05,
    StateOfCharge P10,
    StateOfCharge P25,
    StateOfCharge P50,
    StateOfCharge P75,
    StateOfCharge P90,
    StateOfCharge P95);
