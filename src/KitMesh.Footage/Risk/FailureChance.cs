using KitMesh.Domain.Quantities;

namespace KitMesh.Footage.Risk;

/// <summary>
/// The chance that one medium fails or cannot be read, from published rates.
/// </summary>
/// <remarks>
/// Trap: chances of 1e-14 a bit lose every digit in (1 - r)^n; log1p and expm1 keep them. .NET has neither, so they stand
/// here (W. Kahan's form, accurate to a few units in the last place).
/// </remarks>
public static class FailureChance
{
    /// <summary>Days of a year in failure statistics (365.25).</summary>
    public const double DaysPerYear = 365.25;

    /// <summary>Hours of such a year.</summary>
    public const double HoursPerYear = DaysPerYear * 24;

    /// <summary>The chance that a drive fails within some days: q = 1 - exp(ln(1 - AFR) · days / 365.25).</summary>
    /// <param name="annualFailureRate">AFR, from 0 to below 1.</param>
    /// <param name="days">Days, not negative.</param>
    /// <remarks>
    /// Constant hazard: a drive that survived so far is as good as new. Field data shows more failures in the first months
    /// and with age (B. Schroeder, G. Gibson, "Disk failures in the real world", FAST 2007), which the range of the rate must
    /// cover. Check: AFR 2 %, 42 days gives 0.00232040760395 (rows "groups" of loss-probability.csv).
    /// </remarks>
    /// <exception cref="ArgumentOutOfRangeException">A value lies outside its range.</exception>
    public static double OfDrive(double annualFailureRate, double days)
    {
        if (annualFailureRate is not (>= 0 and < 1))
        {
            throw new ArgumentOutOfRangeException(nameof(annualFailureRate), annualFailureRate, "An annual failure rate lies from 0 to below 1.");
        }

        if (days is not (>= 0 and < double.PositiveInfinity))
        {
            throw new ArgumentOutOfRangeException(nameof(days), days, "Days are not negative.");
        }

        return -Expm1(Log1p(-annualFailureRate) * days / DaysPerYear);
    }

    /// <summary>AFR = 1 - exp(-8766 / MTTF).</summary>
    /// <param name="hours">Mean time to failure in hours, above 0.</param>
    /// <remarks>Check: 1,000,000 h gives 0.8728 %, not the 0.876 % of the linear form.</remarks>
    public static double AnnualFromMeanTime(double hours)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(hours);
        return -Expm1(-HoursPerYear / hours);
    }

    /// <summary>The chance of at least one unreadable sector: 1 - exp(8 N · ln(1 - r)).</summary>
    /// <param name="size">Bytes read, N.</param>
    /// <param name="bitErrorRate">r, errors per bit read, from 0 to below 1.</param>
    /// <remarks>
    /// A maker's figure is a ceiling of the specification, not a field mean. Check: 2 TB at 1e-14 gives 14.786 %; the mean
    /// count 0.16 is sometimes taken for it.
    /// </remarks>
    public static double OfReading(ByteCount size, double bitErrorRate)
    {
        if (bitErrorRate is not (>= 0 and < 1))
        {
            throw new ArgumentOutOfRangeException(nameof(bitErrorRate), bitErrorRate, "A bit error rate lies from 0 to below 1.");
        }

        return -Expm1(8.0 * Math.Max(0, size.Value) * Log1p(-bitErrorRate));
    }

    /// <summary>The chance that k drives all fail when a share of failures has a common cause: P = βq + (1 - βq)((1 - β)q)^k.</summary>
    /// <param name="chance">q, the chance that one fails.</param>
    /// <param name="beta">β, the share of its failures that takes all.</param>
    /// <param name="count">k, at least 1.</param>
    /// <remarks>
    /// The beta-factor model of IEC 61508-6 and NUREG/CR-4780 (1988). β dominates from two drives on. Check: q above, β 0.05,
    /// k 3 gives 1.1603109e-4.
    /// </remarks>
    public static double OfAllWithCommonCause(double chance, double beta, int count)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        double common = beta * chance;
        return common + ((1 - common) * Math.Pow((1 - beta) * chance, count));
    }

    /// <summary>1 - (1 - a)(1 - b), without losing small chances.</summary>
    internal static double Either(double a, double b) => a + b - (a * b);

    /// <summary>ln(1 + x), accurate near zero.</summary>
    internal static double Log1p(double x)
    {
        double u = 1 + x;
        return u == 1 ? x : u <= 0 ? Math.Log(u) : Math.Log(u) * (x / (u - 1));
    }

    /// <summary>exp(x) - 1, accurate near zero.</summary>
    internal static double Expm1(double x)
    {
        double u = Math.Exp(x);
        return u == 1 ? x
            : u - 1 == -1 ? -1
            : double.IsInfinity(u) ? u
            : (u - 1) * (x / Math.Log(u));
    }
}
