using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Pages;

/// <summary>What one device took from its bank, by day.</summary>
/// <param name="Load">The device.</param>
/// <param name="Declared">What the trip file gives for an ordinary day.</param>
/// <param name="Mean">The mean of the whole days that are over, a day; null when there is none.</param>
/// <param name="IsByCharge">Whether it comes from the charge of its own battery, without the charger's losses.</param>
/// <param name="Days">Newest day first; null for a day of which nothing is known.</param>
public sealed record LoadRow(KitId Load, WattHours Declared, WattHours? Mean, bool IsByCharge, IReadOnlyList<LoadDay?> Days);
