using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Outlook.Learning;

// Problem: at which hours a load takes its energy. A bank that is full at sunset ends the day by what the evening takes, so that a wrong evening shows in every forecast.
// Trap: a few days say little of 24 hours; readings six hours apart say nothing of hours.
// Method: energy by hour of the civil day from readings at most two and a half hours apart, added to a usual shape that is worth one day (Dirichlet prior): habits are a guess, and a crew's days resemble each other.
// Check: LearnerTests.

/// <summary>Share of a load's energy by hour of the day.</summary>
internal static class LoadHours
{
    private const double PriorDays = 1;
    private const double LongestHours = 2.5;

    /// <summary>Evenly through the day.</summary>
    internal static readonly double[] Even = [.. Enumerable.Repeat(1.0 / 24, 24)];

    /// <summary>What has a battery of its own charges mostly in the evening: 70 % between 17 and 22 h. Common practice, no published source.</summary>
    internal static readonly double[] Evening = [.. Enumerable.Range(0, 24).Select(hour => hour is >= 17 and < 22 ? (0.7 / 5) + (0.3 / 24) : 0.3 / 24)];

    /// <summary>The shares, which add up to 1.</summary>
    /// <param name="usual">Shape before any reading.</param>
    /// <param name="perDayWh">What the load takes a day: weighs the usual shape.</param>
    /// <param name="readings">Readings in order.</param>
    /// <param name="zone">The trip's civil time.</param>
    internal static double[] Learn(double[] usual, double perDayWh, IEnumerable<(Instant Time, LoadReading Body)> readings, Offset zone)
    {
        double[] hours = [.. usual.Select(share => PriorDays * perDayWh * share)];
        (Instant Time, LoadReading Body)? previous = null;
        foreach ((Instant time, LoadReading body) in readings)
        {
            if (previous is { } before && (time - before.Time).TotalHours <= LongestHours && LoadLearner.Between(before, (time, body)) is { } wattHours)
            {
                Share(hours, before.Time, time, wattHours, zone);
            }

            previous = (time, body);
        }

        double sum = hours.Sum();
        return sum > 0 ? [.. hours.Select(hour => hour / sum)] : usual;
    }

    private static void Share(double[] hours, Instant from, Instant to, double wattHours, Offset zone)
    {
        double total = (to - from).TotalHours;
        for (Instant at = from; at < to;)
        {
            LocalDateTime civil = at.WithOffset(zone).LocalDateTime;
            Instant next = at + (Duration.FromHours(1) - Duration.FromNanoseconds(civil.NanosecondOfDay % NodaConstants.NanosecondsPerHour));
            Instant end = next < to ? next : to;
            hours[civil.Hour] += wattHours * ((end - at).TotalHours / total);
            at = end;
        }
    }
}
