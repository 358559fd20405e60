using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Box;

/// <summary>A thermostat's cycle between two temperatures.</summary>
/// <param name="On">Heater on per cycle; null when it never reaches the upper temperature and stays on.</param>
/// <param name="Off">Heater off per cycle; null when it never cools to the lower one.</param>
/// <param name="Duty">Share of the time that it is on, from 0 to 1.</param>
/// <param name="Mean">Mean power.</param>
public readonly record struct Hold(Duration? On, Duration? Off, double Duty, Watts Mean)
{
    /// <summary>Heat per day.</summary>
    public WattHours PerDay => new(Mean.Value * 24);
}
