using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>What it brings to set a bank's panels out on one day.</summary>
/// <param name="Day">The day.</param>
/// <param name="CanStand">False on travel and storm days and when nobody is there.</param>
/// <param name="Gross">Energy that would reach the bank, before the heat that it needs.</param>
/// <param name="HeaterCost">Heat that must be spent first so that the cells may take charge.</param>
/// <param name="Net">Energy won net of the heater.</param>
/// <param name="ChanceItPays">Chance that the net is above zero.</param>
/// <param name="Pays">Whether it is worth it under the panel policy.</param>
/// <param name="Tilt">Tilt that brings most on this day at this place.</param>
/// <param name="Heading">Heading that brings most.</param>
/// <param name="FlatCosts">Share of the energy lost when the panel lies flat on the sledge instead, from 0 to 1.</param>
/// <param name="Words">The same in one sentence.</param>
public sealed record PanelDay(
    LocalDate Day,
    bool CanStand,
    EnergySpread Gross,
    EnergySpread HeaterCost,
    EnergySpread Net,
    Probability ChanceItPays,
    bool Pays,
    Degrees Tilt,
    Degrees Heading,
    double FlatCosts,
    string Words);
