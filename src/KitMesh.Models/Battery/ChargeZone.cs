using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

/// <summary>A span of cell temperature with the highest charge current that it allows.</summary>
/// <param name="From">Coldest temperature of the zone, included.</param>
/// <param name="To">Warmest temperature of the zone, left out (the last zone includes it).</param>
/// <param name="MaxRate">Highest charge current as a C-rate: current over rated charge, in 1/h.</param>
public readonly record struct ChargeZone(Celsius From, Celsius To, double MaxRate);
