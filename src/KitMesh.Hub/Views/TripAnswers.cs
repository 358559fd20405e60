using KitMesh.Domain;
using KitMesh.Domain.Results;

namespace KitMesh.Hub.Views;

/// <summary>Everything that is computed from one state.</summary>
/// <param name="Energy">The energy outlook; null when it could not be computed.</param>
/// <param name="Charging">Tonight's charging; null when it could not be computed.</param>
/// <param name="Footage">The footage outlook; null when it could not be computed.</param>
/// <param name="Missing">What kept a part from being computed, in words.</param>
internal sealed record TripAnswers(EnergyOutlook? Energy, ChargingPlan? Charging, FootageOutlook? Footage, ValueList<string> Missing);
