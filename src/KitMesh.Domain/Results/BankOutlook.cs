using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>The energy outlook of one bank.</summary>
/// <param name="Bank">The bank.</param>
/// <param name="Team">Whose it is.</param>
/// <param name="Charge">How full it is now.</param>
/// <param name="Capacity">Energy it holds when full, warm and slowly drawn.</param>
/// <param name="SpendableNow">Energy above the reserve that may be spent now at this temperature; never the life-safety reserve.</param>
/// <param name="LifeSafetyReserve">Energy kept for life-safety loads until the last day, which no advice may spend.</param>
/// <param name="Days">One entry a civil day from today to the last day.</param>
/// <param name="ShortByLastDay">Chance of running short on any day to the last.</param>
/// <param name="Autonomy">How long it lasts from now without any sun.</param>
/// <param name="Panels">What setting the panels out brings, one entry a day; empty without panels.</param>
/// <param name="PanelOutDay">The first day on which it is worth setting the panels out; null when none is.</param>
/// <param name="Readiness">Whether it may take charge now.</param>
/// <param name="Influences">The inputs that move the answer most, most first; the first is the worst single assumption.</param>
/// <param name="Measures">The energy in days of each device's work.</param>
/// <param name="Rations">What stops first when it gets tight.</param>
/// <param name="Assumptions">What had to be assumed.</param>
/// <param name="Cautions">Safety words and figures that belong with this outlook.</param>
/// <param name="PanelPolicy">When the panels should go out; the outlook counts on it. Null without panels.</param>
/// <param name="Heater">What each way to run the heater does; null without one.</param>
public sealed record BankOutlook(
    KitId Bank,
    KitId Team,
    ChargeEstimate Charge,
    WattHours Capacity,
    WattHours SpendableNow,
    WattHours LifeSafetyReserve,
    ValueList<OutlookDay> Days,
    ChanceRange ShortByLastDay,
    DurationSpread Autonomy,
    ValueList<PanelDay> Panels,
    LocalDate? PanelOutDay,
    ChargeReadiness Readiness,
    ValueList<InputInfluence> Influences,
    ValueList<WorkMeasure> Measures,
    ValueList<RationStep> Rations,
    ValueList<EnergyAssumption> Assumptions,
    ValueList<string> Cautions,
    PanelPolicy? PanelPolicy = null,
    HeaterChoice? Heater = null);
