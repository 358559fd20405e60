using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>A place where a team stays, with what the sun and the cold do there.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Latitude">North is positive, from -90 to 90.</param>
/// <param name="Longitude">East is positive, from -180 to 180.</param>
/// <param name="Altitude">Height above the sea, from -450 to 8,850 m.</param>
/// <param name="NightTemperature">Typical lowest temperature of a day in the trip's season.</param>
/// <param name="DayTemperature">Typical highest temperature of a day in the trip's season.</param>
/// <param name="ClearSkyShare">Typical share of the clear-sky energy that arrives on an average day, from 0 to 1.</param>
/// <param name="Albedo">Share of light that the ground throws back, from 0 to 1; fresh snow is about 0.75.</param>
/// <param name="Horizon">Height of the horizon line by heading, clockwise from north; empty for a flat horizon.</param>
public sealed record Place(
    KitId Id,
    Degrees Latitude,
    Degrees Longitude,
    Metres Altitude,
    Celsius NightTemperature,
    Celsius DayTemperature,
    double ClearSkyShare,
    double Albedo,
    ValueList<HorizonPoint> Horizon) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Place;
}
