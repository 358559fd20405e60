using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Sky;

/// <summary>Sunlight before it meets air, on a plane that faces the sun.</summary>
public static class Extraterrestrial
{
    /// <summary>Mean sunlight at one astronomical unit.</summary>
    /// <remarks>1366.1 W/m2, ASTM E490 (2000). Newer measurements say 1361 (Kopp and Lean 2011); the models here were fitted with the older figure.</remarks>
    public static readonly WattsPerSquareMetre SolarConstant = new(1366.1);

    /// <summary>From the sun's distance.</summary>
    /// <param name="distanceAu">Distance in astronomical units, about 0.98 to 1.02.</param>
    /// <remarks>E = E0 / R². Source: Reda and Andreas, NREL/TP-560-34302 for R. Check: rows dni_extra:nrel.</remarks>
    public static WattsPerSquareMetre AtDistance(double distanceAu) => new(SolarConstant.Value / (distanceAu * distanceAu));

    /// <summary>From the day of the year, by Spencer's series.</summary>
    /// <param name="dayOfYear">1 to 366.</param>
    /// <remarks>
    /// Source: J. W. Spencer, "Fourier series representation of the position of the sun", Search 2 (1971) 172. Within 0.01 % of
    /// the true ratio as its author states. Check: rows dni_extra:spencer.
    /// </remarks>
    public static WattsPerSquareMetre Spencer(double dayOfYear)
    {
        double b = 2 * Math.PI * (dayOfYear - 1) / 365;
        return new(SolarConstant.Value * (1.00011 + (0.034221 * Math.Cos(b)) + (0.00128 * Math.Sin(b)) + (0.000719 * Math.Cos(2 * b)) + (7.7e-05 * Math.Sin(2 * b))));
    }

    /// <summary>From the day of the year, by one cosine.</summary>
    /// <param name="dayOfYear">1 to 366.</param>
    /// <remarks>E = E0 (1 + 0.033 cos(2π d/365)). Source: ASCE standardized reference evapotranspiration equation, 2005. Check: rows dni_extra:asce.</remarks>
    public static WattsPerSquareMetre Asce(double dayOfYear) =>
        new(SolarConstant.Value * (1 + (0.033 * Math.Cos(2 * Math.PI * dayOfYear / 365))));
}
