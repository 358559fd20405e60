using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>Tonight's charging: by outlet and hour, with what was left out and why.</summary>
/// <param name="AsOf">World time of the plan.</param>
/// <param name="Deadline">When everything should be charged.</param>
/// <param name="Steps">The list, by time, then outlet.</param>
/// <param name="LeftOut">Devices not charged or charged in part, most important first.</param>
/// <param name="Budgets">The energy of each bank.</param>
/// <param name="GapToBound">How far the plan's worth may lie below the best possible, as a fraction of a proven bound; 0 is proven optimal.</param>
/// <param name="Assumptions">What had to be assumed.</param>
/// <param name="Cautions">Safety words that belong with the list.</param>
public sealed record ChargingPlan(
    Instant AsOf,
    Instant Deadline,
    ValueList<ChargingStep> Steps,
    ValueList<LeftOut> LeftOut,
    ValueList<BankBudget> Budgets,
    double GapToBound,
    ValueList<EnergyAssumption> Assumptions,
    ValueList<string> Cautions);
