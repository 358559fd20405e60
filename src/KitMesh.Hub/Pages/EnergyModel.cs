using KitMesh.Domain;
using KitMesh.Domain.Results;

namespace KitMesh.Hub.Pages;

/// <summary>What the page "Energy" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Energy">The energy outlook; null when it could not be computed.</param>
/// <param name="Missing">What kept it from being computed.</param>
public sealed record EnergyModel(PageHead Head, EnergyOutlook? Energy, ValueList<string> Missing);
