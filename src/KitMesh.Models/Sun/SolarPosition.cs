using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Sun;

/// <summary>Where the sun stands for a site and an instant.</summary>
public static class SolarPosition
{
    /// <summary>Terrestrial minus universal time used when nobody gives a better one.</summary>
    /// <remarks>
    /// 69.2 s is right for the years 2020 to 2030 within about half a second; a second moves the sun by less than 0.00002°.
    /// Source: IERS Bulletin A (from memory).
    /// </remarks>
    public static readonly Duration DefaultDeltaT = Duration.FromMilliseconds(69_200);

    /// <summary>Position of the sun's centre.</summary>
    /// <param name="time">The instant; UT1 is taken as UTC, which differs by less than 0.9 s.</param>
    /// <param name="site">The place and its air.</param>
    /// <param name="deltaT">Terrestrial minus universal time; null for <see cref="DefaultDeltaT"/>.</param>
    /// <returns>Elevation, azimuth, distance and equation of time.</returns>
    /// <exception cref="ArgumentOutOfRangeException">A number of the site is out of range.</exception>
    /// <remarks>
    /// Method and source in Spa.cs (NREL/TP-560-34302). Accuracy: 0.0003° stated by its authors; against IAU 2006 routines
    /// 0.0001° without air. Refraction is the report's equation 42; near the horizon over cold snow the true one varies by tenths of a degree.
    /// Checks: SpaExampleTests, SolarPositionTableTests.
    /// </remarks>
    public static SunPosition At(Instant time, SunSite site, Duration? deltaT = null)
    {
        site.Check();
        double seconds = (deltaT ?? DefaultDeltaT).TotalSeconds;
        SpaState s = Spa.At(Spa.JulianDay(UnixSeconds(time)), seconds);
        SpaLocal local = Spa.Locate(
            s.Nu + site.Longitude.Value - s.Alpha, s.Alpha, s.Delta, s.Xi, site.Latitude.Value, site.Elevation.Value, site.Pressure.Value, site.Temperature.Value);
        return new SunPosition(
            new Degrees(local.E0),
            new Degrees(local.E),
            new Degrees(local.AzimuthFromNorth),
            s.R,
            Duration.FromSeconds(60 * Spa.EquationOfTimeMinutes(s)));
    }

    internal static double UnixSeconds(Instant time) => (time - NodaConstants.UnixEpoch).TotalSeconds;
}
