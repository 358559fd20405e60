using static System.Math;

namespace KitMesh.Models.Sun;

// Problem: panels, warm-up and charging all hang on where the sun is, at any latitude, for decades.
// Trap: short formulas are off by tenths of a degree near the horizon at high latitude, where it matters most, and
// hour angles wrap in the middle of a polar day.
// Method: the NREL algorithm written out step by step. Geocentric values depend on time alone (At), topocentric ones on
// the place as well (Locate); a table for one site caches the first and repeats the second (SunTable).
// Source: I. Reda, A. Andreas, NREL/TP-560-34302, rev. January 2008; Solar Energy 76(5), 2004, pp. 577 to 589,
// doi:10.1016/j.solener.2003.12.003. Stated uncertainty 0.0003° for the years -2000 to 6000.
// Check: SpaExampleTests (appendix A.5), SolarPositionTableTests (independent ephemerides).

/// <summary>The NREL solar position algorithm in plain doubles, angles in degrees.</summary>
internal static class Spa
{
    internal const double JulianDayOfUnixEpoch = 2440587.5;
    private const double Deg = PI / 180;

    /// <summary>Refraction at rise and set that decides down to which elevation air is applied, report section 3.11.</summary>
    private const double HorizonRefractionDeg = 0.5667;

    internal static double JulianDay(double unixSeconds) => JulianDayOfUnixEpoch + (unixSeconds / 86400);

    /// <summary>Steps 3.1 to 3.10: everything that does not depend on the place.</summary>
    internal static SpaState At(double jd, double deltaTSeconds)
    {
        double jde = jd + (deltaTSeconds / 86400);
        double jc = (jd - 2451545) / 36525;
        double jce = (jde - 2451545) / 36525;
        double jme = jce / 10;

        double l = Wrap360(Horner(jme, Sum(SpaTerms.L0, jme), Sum(SpaTerms.L1, jme), Sum(SpaTerms.L2, jme), Sum(SpaTerms.L3, jme), Sum(SpaTerms.L4, jme), Sum(SpaTerms.L5, jme)) / 1e8 / Deg);
        double b = Horner(jme, Sum(SpaTerms.B0, jme), Sum(SpaTerms.B1, jme)) / 1e8 / Deg;
        double r = Horner(jme, Sum(SpaTerms.R0, jme), Sum(SpaTerms.R1, jme), Sum(SpaTerms.R2, jme), Sum(SpaTerms.R3, jme), Sum(SpaTerms.R4, jme)) / 1e8;
        double theta = Wrap360(l + 180);
        double beta = -b;

        double x0 = Horner(jce, 297.85036, 445267.111480, -0.0019142, 1.0 / 189474);
        double x1 = Horner(jce, 357.52772, 35999.050340, -0.0001603, -1.0 / 300000);
        double x2 = Horner(jce, 134.96298, 477198.867398, 0.0086972, 1.0 / 56250);
        double x3 = Horner(jce, 93.27191, 483202.017538, -0.0036825, 1.0 / 327270);
        double x4 = Horner(jce, 125.04452, -1934.136261, 0.0020708, 1.0 / 450000);
        (double deltaPsi, double deltaEpsilon) = Nutation(jce, [x0, x1, x2, x3, x4]);

        double u = jme / 10;
        double epsilon0 = Horner(u, 84381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45);
        double epsilon = (epsilon0 / 3600) + deltaEpsilon;
        double deltaTau = -20.4898 / (3600 * r);
        double lambda = theta + deltaPsi + deltaTau;
        double nu0 = Wrap360(280.46061837 + (360.98564736629 * (jd - 2451545)) + (jc * jc * (0.000387933 - (jc / 38710000))));
        double nu = nu0 + (deltaPsi * Cos(epsilon * Deg));

        (double sinL, double cosL) = SinCos(lambda * Deg);
        (double sinE, double cosE) = SinCos(epsilon * Deg);
        double alpha = Wrap360(Atan2((sinL * cosE) - (Tan(beta * Deg) * sinE), cosL) / Deg);
        double delta = Asin((Sin(beta * Deg) * cosE) + (Cos(beta * Deg) * sinE * sinL)) / Deg;

        return new SpaState(
            jd, jde, jc, jce, jme, l, b, r, theta, beta, x0, x1, x2, x3, x4, deltaPsi, deltaEpsilon,
            epsilon0, epsilon, deltaTau, lambda, nu0, nu, alpha, delta);
    }

    /// <summary>Steps 3.11 to 3.16 for one place.</summary>
    internal static SpaLocal Locate(
        double hourAngle, double alpha, double delta, double xi, double latitude, double elevationM, double pressureHpa, double temperatureC)
    {
        double phi = latitude * Deg;
        double u = Atan(0.99664719 * Tan(phi));
        double x = Cos(u) + (elevationM / 6378140 * Cos(phi));
        double y = (0.99664719 * Sin(u)) + (elevationM / 6378140 * Sin(phi));

        (double sinH, double cosH) = SinCos(hourAngle * Deg);
        (double sinD, double cosD) = SinCos(delta * Deg);
        double sinXi = Sin(xi * Deg);
        double deltaAlpha = Atan2(-x * sinXi * sinH, cosD - (x * sinXi * cosH)) / Deg;
        double deltaPrime = Atan2((sinD - (y * sinXi)) * Cos(deltaAlpha * Deg), cosD - (x * sinXi * cosH)) / Deg;
        double hourPrime = hourAngle - deltaAlpha;

        (double sinPhi, double cosPhi) = SinCos(phi);
        (double sinHp, double cosHp) = SinCos(hourPrime * Deg);
        (double sinDp, double cosDp) = SinCos(deltaPrime * Deg);
        double e0 = Asin(Clamp((sinPhi * sinDp) + (cosPhi * cosDp * cosHp), -1, 1)) / Deg;
        double deltaE = Refraction(e0, pressureHpa, temperatureC);

        // Multiplied through by cos δ' so that the poles of the tangent do not matter.
        double gamma = Atan2(sinHp * cosDp, (cosHp * sinPhi * cosDp) - (sinDp * cosPhi)) / Deg;
        return new SpaLocal(
            Wrap360(hourAngle), deltaAlpha, alpha + deltaAlpha, deltaPrime, Wrap360(hourPrime), e0, deltaE, e0 + deltaE, Wrap360(gamma + 180));
    }

    /// <summary>Equation 42, degrees to add to the geometric elevation; nothing when the whole disc is below the horizon.</summary>
    internal static double Refraction(double e0, double pressureHpa, double temperatureC) =>
        e0 < -(0.26667 + HorizonRefractionDeg)
            ? 0
            : pressureHpa / 1010 * (283 / (273 + temperatureC)) * 1.02 / (60 * Tan((e0 + (10.3 / (e0 + 5.11))) * Deg));

    /// <summary>Appendix A.1: apparent minus mean solar time, in minutes.</summary>
    internal static double EquationOfTimeMinutes(in SpaState s)
    {
        double m = Horner(s.Jme, 280.4664567, 360007.6982779, 0.03032028, 1.0 / 49931, -1.0 / 15300, -1.0 / 2000000);
        double degrees = Wrap360(m - 0.0057183 - s.Alpha + (s.DeltaPsi * Cos(s.Epsilon * Deg)));
        return 4 * (degrees > 180 ? degrees - 360 : degrees);
    }

    internal static double Wrap360(double degrees)
    {
        double wrapped = degrees - (360 * Floor(degrees / 360));
        return wrapped >= 360 ? 0 : wrapped;
    }

    private static double Sum(double[] rows, double x)
    {
        double sum = 0;
        for (int i = 0; i < rows.Length; i += 3)
        {
            sum += rows[i] * Cos(rows[i + 1] + (rows[i + 2] * x));
        }

        return sum;
    }

    private static double Horner(double x, params ReadOnlySpan<double> coefficients)
    {
        double sum = 0;
        for (int i = coefficients.Length - 1; i >= 0; i--)
        {
            sum = (sum * x) + coefficients[i];
        }

        return sum;
    }

    private static (double Psi, double Epsilon) Nutation(double jce, ReadOnlySpan<double> x)
    {
        double[] arguments = SpaTerms.NutationArguments;
        double[] coefficients = SpaTerms.NutationCoefficients;
        double psi = 0;
        double epsilon = 0;
        for (int row = 0; row < arguments.Length / 5; row++)
        {
            double angle = 0;
            for (int j = 0; j < 5; j++)
            {
                angle += arguments[(row * 5) + j] * x[j];
            }

            (double sin, double cos) = SinCos(angle * Deg);
            int at = row * 4;
            psi += (coefficients[at] + (coefficients[at + 1] * jce)) * sin;
            epsilon += (coefficients[at + 2] + (coefficients[at + 3] * jce)) * cos;
        }

        return (psi / 36000000, epsilon / 36000000);
    }
}
