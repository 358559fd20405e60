using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Panel;

/// <summary>Snow that lies on a panel and slides off.</summary>
/// <remarks>
/// Source: B. Marion, R. Schaefer, H. Caine, G. Sanchez, "Measured and modeled photovoltaic system energy losses from snow for Colorado and Wisconsin locations",
/// Solar Energy 97 (2013) 112 to 121; loss by strings from NREL/TP-6A20-67399. A person with a brush is better than any model. Check: SnowCoverTests.
/// </remarks>
public static class SnowCover
{
    /// <summary>Share of the slant height still covered after a while.</summary>
    /// <param name="covered">Share covered before, from 0 to 1.</param>
    /// <param name="plane">Irradiance on the panel's plane.</param>
    /// <param name="air">Air temperature.</param>
    /// <param name="tilt">Tilt of the panel.</param>
    /// <param name="span">How long.</param>
    /// <param name="snowing">Fresh snow falls: covered wholly.</param>
    public static double After(double covered, WattsPerSquareMetre plane, Celsius air, Degrees tilt, Duration span, bool snowing)
    {
        if (snowing)
        {
            return 1;
        }

        bool slides = air.Value > plane.Value / -80;
        return Math.Max(0, covered - (slides ? 0.197 * Math.Sin(tilt.Radians) * span.TotalHours : 0));
    }

    /// <summary>Share of the power lost: every string touched by snow is lost whole.</summary>
    /// <param name="covered">Share of the slant height covered.</param>
    /// <param name="strings">Strings in parallel along the slant, from 1.</param>
    public static double Loss(double covered, int strings) => Math.Ceiling(covered * strings) / strings;
}
