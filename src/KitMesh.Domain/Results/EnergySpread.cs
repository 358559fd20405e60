using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Results;

/// <summary>Quantiles of an energy over all paths.</summary>
/// <param name="P10">One path in ten lies below.</param>
/// <param name="P50">The median.</param>
/// <param name="P90">One path in ten lies above.</param>
public sealed record EnergySpread(WattHours P10, WattHours P50, WattHours P90);
