using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Sun;

/// <summary>Where the sun stands at one moment.</summary>
/// <param name="Geometric">Elevation of its centre above level, without air.</param>
/// <param name="Apparent">Elevation as seen through the air; equal to <paramref name="Geometric"/> well below the horizon.</param>
/// <param name="Azimuth">Clockwise from north, from 0 to below 360.</param>
/// <param name="DistanceAu">Distance in astronomical units.</param>
/// <param name="EquationOfTime">Apparent minus mean solar time.</param>
public readonly record struct SunPosition(
    Degrees Geometric,
    Degrees Apparent,
    Degrees Azimuth,
    double DistanceAu,
    Duration EquationOfTime);
