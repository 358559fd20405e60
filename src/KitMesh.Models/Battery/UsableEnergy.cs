using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

/// <summary>What can be had from a pack at one power and temperature.</summary>
/// <param name="Energy">Energy at the terminals until the cut-off.</param>
/// <param name="LeftAt">State of charge at the cut-off; what is below comes back when the pack warms or the load falls.</param>
public readonly record struct UsableEnergy(WattHours Energy, StateOfCharge LeftAt);
