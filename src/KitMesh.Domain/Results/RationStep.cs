using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>One rung of the ration ladder: what stops first. Life-safety loads are never on it.</summary>
/// <param name="Order">1 stops first.</param>
/// <param name="Load">What stops.</param>
/// <param name="Class">How much it matters.</param>
/// <param name="SavesPerDay">Energy that stopping it saves.</param>
/// <param name="ShortAfter">Chance of running short by the last day once this rung and all before it have stopped.</param>
public sealed record RationStep(int Order, KitId Load, LoadClass Class, WattHours SavesPerDay, Probability ShortAfter);
