using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Sun;

// Problem: sunrise, noon and sunset for any place and day, polar day and night included.
// Trap: computing "the events of a UTC day" gives the neighbour day's event wherever the local day crosses UTC midnight
// (minutes off in Alaska and in Antarctica), and near the polar circles one event exists without the other.
// Method: find the transit next to local mean noon by Newton on the hour angle, then look for the crossing of the
// horizon in the twelve hours on either side by scanning and bisection on the full position.
// Horizon: upper limb and 34' of refraction, the centre at -0.8333° geometric, sea level (the almanac convention;
// Astronomical Almanac, as used in Reda and Andreas A.2).
// Check: SunEventsTests (an independent ephemeris, within 2 s).

/// <summary>Rise, transit and set.</summary>
public static class SunEvents
{
    private const double HorizonDeg = -0.8333;
    private const double ScanSeconds = 600;
    private const double HalfDaySeconds = 43_200;

    /// <summary>The events around the local noon of a date.</summary>
    /// <param name="date">The date whose noon is meant, in local mean time of the longitude (for the UTC date of that noon see remarks).</param>
    /// <param name="latitude">North is positive, from -90 to 90.</param>
    /// <param name="longitude">East is positive, from -180 to 180.</param>
    /// <param name="deltaT">Terrestrial minus universal time; null for <see cref="SolarPosition.DefaultDeltaT"/>.</param>
    /// <exception cref="ArgumentOutOfRangeException">A coordinate is out of range.</exception>
    /// <remarks>
    /// The noon meant is the transit nearest to 12:00 UTC minus longitude/15 h on that date, which lies on the same UTC date except
    /// within minutes of ±180°. Accuracy: within 1 s of PyEphem 4.1.4 with the same horizon; real refraction moves rise and set by minutes at high latitude.
    /// </remarks>
    public static SunDay Around(LocalDate date, Degrees latitude, Degrees longitude, Duration? deltaT = null)
    {
        SunSite site = SunSite.Standard(latitude, longitude, new Metres(0));
        site.Check();
        double seconds = (deltaT ?? SolarPosition.DefaultDeltaT).TotalSeconds;
        double meanNoon = SolarPosition.UnixSeconds(date.AtMidnight().InUtc().ToInstant()) + HalfDaySeconds - (longitude.Value * 240);
        double transit = Transit(meanNoon, longitude.Value, seconds);

        double up = Height(transit, site, seconds);
        double? rise = Crossing(transit, -1, site, seconds);
        double? set = Crossing(transit, +1, site, seconds);
        SunDayState state = (rise, set) is (null, null)
            ? up >= 0 ? SunDayState.PolarDay : SunDayState.PolarNight
            : SunDayState.Normal;
        return new SunDay(state, ToInstant(rise), ToInstant(transit)!.Value, ToInstant(set));
    }

    private static double Transit(double nearSeconds, double longitude, double deltaTSeconds)
    {
        double t = nearSeconds;
        for (int i = 0; i < 4; i++)
        {
            SpaState s = Spa.At(Spa.JulianDay(t), deltaTSeconds);
            double hour = Spa.Wrap360(s.Nu + longitude - s.Alpha);
            t -= (hour > 180 ? hour - 360 : hour) * 240;
        }

        return t;
    }

    private static double? Crossing(double transit, int direction, SunSite site, double deltaTSeconds)
    {
        double near = transit;
        bool nearUp = Height(near, site, deltaTSeconds) >= 0;
        for (double offset = ScanSeconds; offset <= HalfDaySeconds; offset += ScanSeconds)
        {
            double far = transit + (direction * offset);
            bool farUp = Height(far, site, deltaTSeconds) >= 0;
            if (farUp != nearUp)
            {
                return Bisect(near, far, nearUp, site, deltaTSeconds);
            }

            near = far;
        }

        return null;
    }

    private static double Bisect(double near, double far, bool nearUp, SunSite site, double deltaTSeconds)
    {
        while (Math.Abs(far - near) > 0.05)
        {
            double middle = (near + far) / 2;
            if (Height(middle, site, deltaTSeconds) >= 0 == nearUp)
            {
                near = middle;
            }
            else
            {
                far = middle;
            }
        }

        return (near + far) / 2;
    }

    private static double Height(double unixSeconds, SunSite site, double deltaTSeconds)
    {
        SpaState s = Spa.At(Spa.JulianDay(unixSeconds), deltaTSeconds);
        return Spa.Locate(s.Nu + site.Longitude.Value - s.Alpha, s.Alpha, s.Delta, s.Xi, site.Latitude.Value, 0, 0, 0).E0 - HorizonDeg;
    }

    private static Instant? ToInstant(double? unixSeconds) =>
        unixSeconds is { } s ? NodaConstants.UnixEpoch + Duration.FromSeconds(Math.Round(s, 3)) : null;
}
