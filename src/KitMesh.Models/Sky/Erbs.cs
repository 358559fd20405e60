using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Sky;

/// <summary>Splits global irradiance into direct and diffuse.</summary>
public static class Erbs
{
    /// <summary>Zenith angle past which nothing is called direct.</summary>
    private const double MaxZenithDeg = 87;

    /// <summary>Diffuse share of the global irradiance.</summary>
    /// <param name="clearness">Global over extraterrestrial on a level plane, from 0 to 1.</param>
    /// <remarks>
    /// Source: D. G. Erbs, S. A. Klein, J. A. Duffie, "Estimation of the diffuse radiation fraction for hourly, daily and monthly-average global radiation",
    /// Solar Energy 28 (1982) 293 to 302, equation 1, doi:10.1016/0038-092X(82)90302-4. Check: Erbs rows.
    /// </remarks>
    public static double DiffuseShare(double clearness) => clearness switch
    {
        <= 0.22 => 1 - (0.09 * clearness),
        <= 0.8 => 0.9511 + (clearness * (-0.1604 + (clearness * (4.388 + (clearness * (-16.638 + (clearness * 12.336))))))),
        _ => 0.165,
    };

    /// <summary>Direct and diffuse parts, with the clearness they were found from.</summary>
    /// <param name="global">Global irradiance on a level plane.</param>
    /// <param name="elevation">Elevation of the sun.</param>
    /// <param name="extraterrestrial">Sunlight outside the air, facing the sun.</param>
    /// <remarks>Past a zenith angle of 87° all is diffuse; the cosine is held above 0.065 in the clearness, as is usual for low sun.</remarks>
    public static (Irradiance Parts, double Clearness) Split(WattsPerSquareMetre global, Degrees elevation, WattsPerSquareMetre extraterrestrial)
    {
        double cosZenith = Math.Sin(elevation.Radians);
        double clearness = Math.Clamp(global.Value / (extraterrestrial.Value * Math.Max(cosZenith, 0.065)), 0, 1);
        double diffuse = DiffuseShare(clearness) * global.Value;
        double direct = (global.Value - diffuse) / cosZenith;
        if (90 - elevation.Value > MaxZenithDeg || global.Value < 0 || direct < 0)
        {
            return (new Irradiance(global, new(0), global), clearness);
        }

        return (new Irradiance(global, new(direct), new(diffuse)), clearness);
    }
}
