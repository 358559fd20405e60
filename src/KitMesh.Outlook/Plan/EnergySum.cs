using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>The energy of one bank as anybody can check it with a pencil.</summary>
/// <param name="Bank">The bank.</param>
/// <param name="Holds">Energy when full, warm and slowly drawn: of the rated capacity, the share that a plan counts on.</param>
/// <param name="OnArrival">Energy on the first day.</param>
/// <param name="Reserve">Energy that no plan may spend.</param>
/// <param name="PerDay">What all its loads take on an ordinary day.</param>
/// <param name="Days">Days of the trip.</param>
/// <param name="Needed">The loads' days added up; rest and travel days count as ordinary ones.</param>
/// <param name="SunMedian">Sum over the days of the median energy from the panels.</param>
/// <param name="HeaterMedian">Sum over the days of the median energy of the heater.</param>
/// <param name="SunlessDays">Days that the energy above the reserve lasts without sun and heater.</param>
public sealed record EnergySum(
    KitId Bank, WattHours Holds, WattHours OnArrival, WattHours Reserve, WattHours PerDay, int Days, WattHours Needed, WattHours SunMedian, WattHours HeaterMedian, double SunlessDays);
