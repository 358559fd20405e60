using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One civil day of one bank's outlook.</summary>
/// <param name="Day">The day, in the trip's civil time.</param>
/// <param name="Kind">What the team does, from the calendar.</param>
/// <param name="Lowest">State of charge at the day's lowest moment.</param>
/// <param name="AtEnd">State of charge at the day's end.</param>
/// <param name="ShortByThen">Chance that the bank ran below its reserve on or before this day.</param>
/// <param name="ShortThatDay">Chance that it runs below its reserve on this very day.</param>
/// <param name="Harvest">Energy from the panels that reached the bank.</param>
/// <param name="Wasted">Energy that the panels could have given but cold cells, a full bank or the controller did not take.</param>
/// <param name="Loads">Energy that the loads took.</param>
/// <param name="Heater">Energy that the box heater took.</param>
public sealed record OutlookDay(
    LocalDate Day,
    DayKind Kind,
    ChargeSpread Lowest,
    ChargeSpread AtEnd,
    ChanceRange ShortByThen,
    Probability ShortThatDay,
    EnergySpread Harvest,
    EnergySpread Wasted,
    EnergySpread Loads,
    EnergySpread Heater);
