using KitMesh.Domain.Quantities;

namespace KitMesh.Offload.Drives;

// Source: O. A. Alduchov, R. E. Eskridge, "Improved Magnus Form Approximation of Saturation Vapor Pressure", Journal of
// Applied Meteorology 35 (1996), equation 21: a = 17.625, b = 243.04 °C, from -40 to 50 °C, to 0.4 %.

/// <summary>Whether water settles on a drive that comes from the cold into a tent.</summary>
public static class Condensation
{
    /// <summary>Humidity that is taken where none is measured: people breathe and cook in a tent (common practice, no source).</summary>
    public const double UnknownHumidityPercent = 80;

    private const double A = 17.625;
    private const double B = 243.04;
    private const double MarginCelsius = 1;

    /// <summary>The temperature at which the air's water begins to settle.</summary>
    /// <param name="air">The air, -40 to 50 °C.</param>
    /// <param name="humidityPercent">Relative humidity, above 0 to 100 %.</param>
    public static Celsius DewPoint(Celsius air, double humidityPercent)
    {
        double x = Math.Log(humidityPercent / 100) + (A * air.Value / (B + air.Value));
        return new Celsius(B * x / (A - x));
    }

    /// <summary>Whether water settles on a drive.</summary>
    /// <param name="drive">The drive's own temperature.</param>
    /// <param name="air">The air around it.</param>
    /// <param name="humidityPercent">Relative humidity, above 0 to 100 %.</param>
    public static bool Forms(Celsius drive, Celsius air, double humidityPercent) => drive.Value < DewPoint(air, humidityPercent).Value + MarginCelsius;
}
