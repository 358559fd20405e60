using NodaTime;

namespace KitMesh.Demo.Weather;

/// <summary>Where the sun stands in the demo, and what it sends through a clear sky. Plain on purpose: the models have better.</summary>
/// <remarks>
/// Position: declination and equation of time by the series of J. W. Spencer, "Fourier series representation of the position
/// of the sun", Search 2(5), 1971, p. 172 (from memory; about 0.05 degree and 0.5 min). Clear sky: B. Haurwitz, "Insolation
/// in relation to cloudiness and cloud density", J. Meteorology 2, 1945: GHI = 1098 cos z exp(-0.057 / cos z), raised by 9 %
/// a kilometre above 1 km up to 4 km (invented, so that the demo's truth is not the models' own clear sky).
/// </remarks>
public static class SunTruth
{
    /// <summary>The sun over a place.</summary>
    /// <param name="time">The moment.</param>
    /// <param name="latitudeDegrees">North is positive.</param>
    /// <param name="longitudeDegrees">East is positive.</param>
    public static SunPlace At(Instant time, double latitudeDegrees, double longitudeDegrees)
    {
        ZonedDateTime utc = time.InUtc();
        double hourUtc = utc.TimeOfDay.NanosecondOfDay / 3.6e12;
        double dayAngle = 2 * Math.PI * (utc.DayOfYear - 1 + (hourUtc / 24)) / 365;
        double declination = 0.006918 - (0.399912 * Math.Cos(dayAngle)) + (0.070257 * Math.Sin(dayAngle))
            - (0.006758 * Math.Cos(2 * dayAngle)) + (0.000907 * Math.Sin(2 * dayAngle))
            - (0.002697 * Math.Cos(3 * dayAngle)) + (0.00148 * Math.Sin(3 * dayAngle));
        double equationMinutes = 229.18 * (0.000075 + (0.001868 * Math.Cos(dayAngle)) - (0.032077 * Math.Sin(dayAngle))
            - (0.014615 * Math.Cos(2 * dayAngle)) - (0.040849 * Math.Sin(2 * dayAngle)));
        double solarHour = ((hourUtc + (longitudeDegrees / 15) + (equationMinutes / 60)) % 24 + 24) % 24;
        double hourAngle = (solarHour - 12) / 12 * Math.PI;
        double latitude = latitudeDegrees * Math.PI / 180;
        double sine = (Math.Sin(latitude) * Math.Sin(declination)) + (Math.Cos(latitude) * Math.Cos(declination) * Math.Cos(hourAngle));
        double height = Math.Asin(Math.Clamp(sine, -1, 1));
        double azimuth = Math.Atan2(
            -Math.Cos(declination) * Math.Sin(hourAngle),
            (Math.Sin(declination) * Math.Cos(latitude)) - (Math.Cos(declination) * Math.Sin(latitude) * Math.Cos(hourAngle)));
        return new SunPlace(height * 180 / Math.PI, (azimuth * 180 / Math.PI + 360) % 360, solarHour);
    }

    /// <summary>Light on a level surface under a clear sky, in W/m2.</summary>
    /// <param name="sun">The sun.</param>
    /// <param name="altitudeMetres">Height of the place.</param>
    public static double ClearSkyWattsPerSquareMetre(SunPlace sun, double altitudeMetres)
    {
        double cosine = Math.Sin(sun.HeightDegrees * Math.PI / 180);
        return cosine <= 0.01 ? 0 : 1098 * cosine * Math.Exp(-0.057 / cosine) * (1 + (0.09 * Math.Clamp((altitudeMetres / 1000) - 1, 0, 3)));
    }
}
