using KitMesh.Domain.Quantities;
using KitMesh.Models.Sky;
using static System.Math;

namespace KitMesh.Models.Panel;

// Problem: level irradiance to what a tilted panel sees, over snow, with the sun low.
// Trap: ratios of cosines blow up at sunrise; Perez' horizon term may be negative, the sum may not.
// Method: the three published models with their usual guards (cosine held above cos 85° for Perez, 0.01745 for Hay and Davies).
// Check: irradiance-checks.csv rows isotropic, ground_diffuse, transposition.

/// <summary>Sunlight on a tilted plane.</summary>
public static class PlaneOfArray
{
    // R. Perez et al. 1990, table 6 (all sites composite): F11 F12 F13 F21 F22 F23 by clearness bin.
    private static readonly double[] PerezCoefficients =
    [
        -0.008, 0.588, -0.062, -0.060, 0.072, -0.022,
        0.130, 0.683, -0.151, -0.019, 0.066, -0.029,
        0.330, 0.487, -0.221, 0.055, -0.064, -0.026,
        0.568, 0.187, -0.295, 0.109, -0.152, -0.014,
        0.873, -0.392, -0.362, 0.226, -0.462, 0.001,
        1.132, -1.237, -0.412, 0.288, -0.823, 0.056,
        1.060, -1.600, -0.359, 0.264, -1.127, 0.131,
        0.678, -0.327, -0.250, 0.156, -1.377, 0.251,
    ];

    private static readonly double[] PerezBins = [1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2];

    /// <summary>Beam, sky and ground light on a plane.</summary>
    /// <param name="model">How the sky's light is spread.</param>
    /// <param name="sky">Level irradiance.</param>
    /// <param name="sunElevation">Apparent elevation of the sun.</param>
    /// <param name="sunAzimuth">Clockwise from north.</param>
    /// <param name="tilt">Angle of the plane from level, from 0 to 180.</param>
    /// <param name="heading">Where the plane faces, clockwise from north.</param>
    /// <param name="albedo">Share of light that the ground throws back, from 0 to 1; snow 0.65, fresh snow 0.75 (pvlib's table of surface albedos).</param>
    /// <param name="extraterrestrial">Sunlight outside the air, facing the sun.</param>
    /// <param name="relativeAirmass">Relative airmass; NaN below the horizon.</param>
    /// <remarks>
    /// Ground: albedo × global × (1 - cos tilt)/2. Sources: B. Liu, R. Jordan, Solar Energy 4 (1960) 1 to 19 (isotropic); J. Hay, J. Davies, Proc. First Canadian Solar
    /// Radiation Data Workshop, 1980, 59 to 72; R. Perez et al., "Modeling daylight availability and irradiance components from direct and global irradiance", Solar Energy 44
    /// (1990) 271 to 289, doi:10.1016/0038-092X(90)90055-H. Accuracy on snow with the sun under 10°: not published.
    /// </remarks>
    public static PlaneIrradiance On(
        Transposition model,
        Irradiance sky,
        Degrees sunElevation,
        Degrees sunAzimuth,
        Degrees tilt,
        Degrees heading,
        double albedo,
        WattsPerSquareMetre extraterrestrial,
        double relativeAirmass)
    {
        double projection = Projection(sunElevation, sunAzimuth, tilt, heading);
        double beam = sunElevation.Value > 0 ? sky.Direct.Value * Max(0, projection) : 0;
        double diffuse = model switch
        {
            Transposition.Isotropic => Isotropic(sky.Diffuse.Value, tilt),
            Transposition.HayDavies => HayDavies(sky, sunElevation, tilt, projection, extraterrestrial.Value),
            Transposition.Perez => PerezParts(sky, sunElevation, tilt, projection, extraterrestrial.Value, relativeAirmass).Sum,
            _ => throw new ArgumentOutOfRangeException(nameof(model), model, "Not a transposition model."),
        };
        return new PlaneIrradiance(new(beam), new(diffuse), new(Ground(sky.Global.Value, tilt, albedo)));
    }

    /// <summary>Cosine of the angle between the sun and the plane's normal; negative when the sun is behind it.</summary>
    /// <param name="sunElevation">Elevation of the sun.</param>
    /// <param name="sunAzimuth">Clockwise from north.</param>
    /// <param name="tilt">Angle of the plane from level.</param>
    /// <param name="heading">Where the plane faces, clockwise from north.</param>
    public static double Projection(Degrees sunElevation, Degrees sunAzimuth, Degrees tilt, Degrees heading) =>
        Clamp(
            (Cos(tilt.Radians) * Sin(sunElevation.Radians))
            + (Sin(tilt.Radians) * Cos(sunElevation.Radians) * Cos(sunAzimuth.Radians - heading.Radians)),
            -1,
            1);

    internal static double Ground(double globalWm2, Degrees tilt, double albedo) => globalWm2 * albedo * (1 - Cos(tilt.Radians)) / 2;

    internal static double Isotropic(double diffuseWm2, Degrees tilt) => diffuseWm2 * (1 + Cos(tilt.Radians)) / 2;

    internal static double HayDavies(Irradiance sky, Degrees sunElevation, Degrees tilt, double projection, double extraterrestrialWm2)
    {
        double ratio = Max(projection, 0) / Max(Sin(sunElevation.Radians), 0.01745);
        double anisotropy = sky.Direct.Value / extraterrestrialWm2;
        double isotropic = Max(sky.Diffuse.Value * (1 - anisotropy) * (1 + Cos(tilt.Radians)) / 2, 0);
        return isotropic + Max(sky.Diffuse.Value * anisotropy * ratio, 0);
    }

    internal static (double Isotropic, double Circumsolar, double Horizon, double Sum) PerezParts(
        Irradiance sky, Degrees sunElevation, Degrees tilt, double projection, double extraterrestrialWm2, double relativeAirmass)
    {
        double diffuse = sky.Diffuse.Value;
        if (diffuse <= 0 || double.IsNaN(relativeAirmass))
        {
            return default;
        }

        double zenith = (PI / 2) - sunElevation.Radians;
        double z3 = 1.041 * zenith * zenith * zenith;
        double clearness = (((diffuse + sky.Direct.Value) / diffuse) + z3) / (1 + z3);
        double brightness = diffuse * relativeAirmass / extraterrestrialWm2;
        int bin = 0;
        while (bin < PerezBins.Length && clearness >= PerezBins[bin])
        {
            bin++;
        }

        ReadOnlySpan<double> c = PerezCoefficients.AsSpan(bin * 6, 6);
        double f1 = Max(0, c[0] + (c[1] * brightness) + (c[2] * zenith));
        double f2 = c[3] + (c[4] * brightness) + (c[5] * zenith);
        double a = Max(projection, 0);
        double b = Max(Cos(zenith), Cos(85 * PI / 180));
        double isotropic = diffuse * 0.5 * (1 - f1) * (1 + Cos(tilt.Radians));
        double circumsolar = diffuse * f1 * a / b;
        double horizon = diffuse * f2 * Sin(tilt.Radians);
        double sum = isotropic + circumsolar + horizon;
        return sum <= 0 ? default : (isotropic, circumsolar, horizon, sum);
    }
}
