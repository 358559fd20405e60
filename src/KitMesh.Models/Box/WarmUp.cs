using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Box;

/// <summary>What it takes to bring a box to a temperature.</summary>
/// <param name="Reachable">False when it never gets there.</param>
/// <param name="TauSeconds">Time constant C/UA.</param>
/// <param name="Equilibrium">Where it would end with the heat on for ever.</param>
/// <param name="Time">How long; null when never.</param>
/// <param name="Energy">Heat put in; null when never.</param>
/// <param name="Stored">Part of it that stays in the box.</param>
/// <param name="Lost">Part of it that leaves through the walls.</param>
public readonly record struct WarmUp(
    bool Reachable, double TauSeconds, Celsius Equilibrium, Duration? Time, WattHours? Energy, WattHours? Stored, WattHours? Lost);
