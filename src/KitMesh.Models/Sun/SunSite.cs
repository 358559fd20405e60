using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Sun;

/// <summary>Where somebody looks at the sun from, and through how much air.</summary>
/// <param name="Latitude">North is positive, from -90 to 90.</param>
/// <param name="Longitude">East is positive, from -180 to 180.</param>
/// <param name="Elevation">Height above the sea; moves the parallax only.</param>
/// <param name="Pressure">Air pressure on the spot; refraction grows with it.</param>
/// <param name="Temperature">Air temperature; refraction shrinks with it.</param>
public readonly record struct SunSite(
    Degrees Latitude,
    Degrees Longitude,
    Metres Elevation,
    Hectopascals Pressure,
    Celsius Temperature)
{
    /// <summary>A site with the pressure of the standard atmosphere and 0 °C, for when neither is measured.</summary>
    /// <param name="latitude">North is positive.</param>
    /// <param name="longitude">East is positive.</param>
    /// <param name="elevation">Height above the sea.</param>
    public static SunSite Standard(Degrees latitude, Degrees longitude, Metres elevation) =>
        new(latitude, longitude, elevation, Sky.StandardAtmosphere.PressureAt(elevation), new Celsius(0));

    /// <summary>Throws when a number is not finite or out of its range.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Names the number.</exception>
    public void Check()
    {
        Require(Latitude.Value is >= -90 and <= 90, nameof(Latitude), Latitude.Value, "from -90 to 90");
        Require(Longitude.Value is >= -180 and <= 180, nameof(Longitude), Longitude.Value, "from -180 to 180");
        Require(Elevation.Value is >= -500 and <= 12_000, nameof(Elevation), Elevation.Value, "from -500 to 12,000 m");
        Require(Pressure.Value is >= 0 and <= 1_200, nameof(Pressure), Pressure.Value, "from 0 to 1,200 hPa");
        Require(Temperature.Value is >= -100 and <= 70, nameof(Temperature), Temperature.Value, "from -100 to 70 °C");
    }

    private static void Require(bool holds, string name, double value, string range)
    {
        if (!holds)
        {
            throw new ArgumentOutOfRangeException(name, value, $"{name} must lie {range}.");
        }
    }
}
