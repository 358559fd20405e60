using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Panel;

/// <summary>How to stand a panel on one day at one place.</summary>
/// <param name="Tilt">Tilt that brings most.</param>
/// <param name="Heading">Heading that brings most, clockwise from north.</param>
/// <param name="PerRatedWatt">Energy of the day per watt of rating, in hours of full sun, at the best stand.</param>
/// <param name="FlatPerRatedWatt">The same laid flat.</param>
public readonly record struct OrientationAdvice(Degrees Tilt, Degrees Heading, double PerRatedWatt, double FlatPerRatedWatt)
{
    /// <summary>Share of the energy that lying flat costs, from 0 to 1.</summary>
    public double FlatCosts => PerRatedWatt > 0 ? Math.Max(0, 1 - (FlatPerRatedWatt / PerRatedWatt)) : 0;
}
