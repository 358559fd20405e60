using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Hub.Pages;

/// <summary>What the page "Energy" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Energy">The energy outlook; null when it could not be computed.</param>
/// <param name="Packs">The newest readings of each bank and its packs, by bank.</param>
/// <param name="Loads">What devices took by day, by bank, most first.</param>
/// <param name="Missing">What kept it from being computed.</param>
public sealed record EnergyModel(PageHead Head, EnergyOutlook? Energy, ILookup<KitId, ReadingRow> Packs, ILookup<KitId, LoadRow> Loads, ValueList<string> Missing);
