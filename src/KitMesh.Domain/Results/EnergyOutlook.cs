using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>Whether the energy lasts to the last day, for every bank.</summary>
/// <param name="AsOf">The world time it is computed for.</param>
/// <param name="LastDay">The civil day on which the energy must still last.</param>
/// <param name="Banks">One entry a bank, by team and name.</param>
/// <param name="Assumptions">What had to be assumed that belongs to no single bank.</param>
/// <param name="Run">How it was computed.</param>
public sealed record EnergyOutlook(
    Instant AsOf,
    LocalDate LastDay,
    ValueList<BankOutlook> Banks,
    ValueList<EnergyAssumption> Assumptions,
    OutlookRun Run);
