using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

/// <summary>One pack as the others see it when it is joined to them.</summary>
/// <param name="OpenCircuit">Rested voltage.</param>
/// <param name="Resistance">Internal resistance at its present temperature, with its lead.</param>
/// <param name="MaxCharge">Highest current that it may take; null when nothing is known of it.</param>
public readonly record struct ParallelPack(Volts OpenCircuit, Ohms Resistance, Amperes? MaxCharge);
