using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>How to bring a box of cells to where they may take charge.</summary>
/// <param name="Reachable">False when the heater cannot get there at this outside temperature, however long it runs.</param>
/// <param name="From">Temperature of the cells now, measured or assumed.</param>
/// <param name="To">Temperature to reach.</param>
/// <param name="Heater">Power of the heater; zero when there is none.</param>
/// <param name="SwitchOn">When to start so that the cells are warm as the sun comes; null when there is nothing to switch.</param>
/// <param name="WarmAt">When they are warm; null when never.</param>
/// <param name="Energy">Energy that the heater takes; null when never.</param>
/// <param name="BottleLitres">Litres of water at 90 °C that bring the same heat.</param>
/// <param name="Pays">Whether the sun of the day is expected to bring more than the heat costs; null when not judged.</param>
/// <param name="Words">The same in plain words.</param>
public sealed record WarmUpPlan(
    bool Reachable,
    Celsius From,
    Celsius To,
    Watts Heater,
    Instant? SwitchOn,
    Instant? WarmAt,
    WattHours? Energy,
    double BottleLitres,
    bool? Pays,
    string Words);
