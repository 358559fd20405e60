using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Debrief;

/// <summary>What one bank took and gave on one civil day, as measured. Null is "not measured", never zero.</summary>
/// <param name="Day">The day.</param>
/// <param name="Panels">Energy of the panels at the controller's input.</param>
/// <param name="IntoPacks">Energy that went into the packs.</param>
/// <param name="OutOfPacks">Energy that came out of the packs.</param>
/// <param name="Loads">Energy that the metered loads took.</param>
/// <param name="Lowest">Lowest state of charge that a device stated.</param>
/// <param name="Coldest">Coldest probe of the day.</param>
/// <param name="BoxLoss">Heat that left the box: UA as learnt times what it was warmer than the air. The heater, the packs' own losses and heat brought in paid for it.</param>
/// <param name="WarmGain">Energy charged while the box was warm enough and the air outside was not: what keeping it warm made possible.</param>
/// <param name="Forecast">Panel energy into the bank that the outlook promised on the morning of that day; null when it was not asked.</param>
/// <param name="CoveredHours">Hours of the day for which panel readings stand close enough together.</param>
public sealed record BankDay(
    LocalDate Day,
    WattHours? Panels,
    WattHours? IntoPacks,
    WattHours? OutOfPacks,
    WattHours? Loads,
    StateOfCharge? Lowest,
    Celsius? Coldest,
    WattHours? BoxLoss,
    WattHours? WarmGain,
    EnergySpread? Forecast,
    double CoveredHours);
