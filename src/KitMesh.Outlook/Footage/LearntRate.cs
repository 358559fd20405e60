using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Footage;

/// <summary>A source's rate with what the volume of days to come needs.</summary>
/// <param name="Rate">As shown.</param>
/// <param name="DayVariance">Variance between days, in GB².</param>
/// <param name="MeanVariance">Variance of the mean itself, shared by all days to come, in GB².</param>
/// <param name="Today">Gigabytes shot today.</param>
internal sealed record LearntRate(SourceRate Rate, double DayVariance, double MeanVariance, double Today)
{
    /// <summary>What is still expected of today.</summary>
    public double RestOfToday => Math.Max(0, Rate.GigabytesPerDay - Today);
}
