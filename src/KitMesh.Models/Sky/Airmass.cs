using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Sky;

/// <summary>How many times the air above is crossed by sunlight.</summary>
public static class Airmass
{
    /// <summary>Relative airmass after Kasten and Young.</summary>
    /// <param name="apparentElevation">Apparent elevation of the sun; below the horizon it is NaN.</param>
    /// <remarks>
    /// m = 1 / (cos z + 0.50572 (96.07995 - z)^-1.6364). Source: F. Kasten, A. T. Young, "Revised optical air mass tables and
    /// approximation formula", Applied Optics 28 (1989) 4735 to 4738, doi:10.1364/AO.28.004735. Check: airmass:kastenyoung1989 rows.
    /// </remarks>
    public static double KastenYoung(Degrees apparentElevation)
    {
        double e = apparentElevation.Value;
        return e < 0 ? double.NaN : 1 / (Math.Sin(apparentElevation.Radians) + (0.50572 * Math.Pow(6.07995 + e, -1.6364)));
    }

    /// <summary>Relative airmass scaled by pressure.</summary>
    /// <param name="relative">Relative airmass.</param>
    /// <param name="pressure">Pressure on the spot.</param>
    public static double Absolute(double relative, Hectopascals pressure) => relative * pressure.Value / 1013.25;
}
