using MathNet.Numerics;
using MathNet.Numerics.Distributions;

namespace KitMesh.Outlook.Footage;

/// <summary>
/// How many gigabytes come until a day, as a distribution.
/// </summary>
/// <remarks>
/// n days of independent sources: mean n·Σm plus the rest of today; variance n·Σσ² + n²·Σσm², because a wrong mean is wrong
/// every day. A gamma distribution of that mean and variance stands for the sum: it cannot be negative, leans to the right
/// as shooting does, and tends to the normal as days add up. No sampling, so the same question has the same answer to the
/// last bit.
/// </remarks>
internal sealed class VolumeToCome
{
    private readonly double _mean;
    private readonly double _dayVariance;
    private readonly double _meanVariance;
    private readonly double _restOfToday;

    public VolumeToCome(IReadOnlyCollection<LearntRate> rates)
    {
        _mean = rates.Sum(rate => rate.Rate.GigabytesPerDay);
        _dayVariance = rates.Sum(rate => rate.DayVariance);
        _meanVariance = rates.Sum(rate => rate.MeanVariance);
        _restOfToday = rates.Sum(rate => rate.RestOfToday);
    }

    public double MeanPerDay => _mean;

    public double Mean(int days) => _restOfToday + (days * _mean);

    /// <summary>The chance that at least this much comes by the end of the n-th day from today (0 is today).</summary>
    public double ChanceOfAtLeast(double gigabytes, int days)
    {
        if (gigabytes <= 0)
        {
            return 1;
        }

        (double mean, double variance) = Moments(days);
        if (mean <= 0)
        {
            return 0;
        }

        if (variance <= 1e-12 * mean * mean)
        {
            return mean >= gigabytes ? 1 : 0;
        }

        double shape = mean * mean / variance;
        double rate = mean / variance;
        return SpecialFunctions.GammaUpperRegularized(shape, rate * gigabytes);
    }

    /// <summary>What is not exceeded with a chance.</summary>
    public double Quantile(double chance, int days)
    {
        (double mean, double variance) = Moments(days);
        return mean <= 0 ? 0
            : variance <= 1e-12 * mean * mean ? mean
            : Gamma.InvCDF(mean * mean / variance, mean / variance, chance);
    }

    /// <summary>The first day by whose end this much has come with at least a chance; null when not within the days.</summary>
    public int? DayOf(double gigabytes, double chance, int days)
    {
        for (int day = 0; day <= days; day++)
        {
            if (ChanceOfAtLeast(gigabytes, day) >= chance)
            {
                return day;
            }
        }

        return null;
    }

    private (double Mean, double Variance) Moments(int days)
    {
        // What is left of today spreads like the same share of a whole day.
        double todayShare = _mean > 0 ? Math.Min(1, _restOfToday / _mean) : 0;
        double all = days + todayShare;
        return (Mean(days), (all * _dayVariance) + (all * all * _meanVariance));
    }
}
