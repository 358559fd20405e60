using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Outlook.Learning;

// Problem: what a device really takes a day, from a counter or from powers now and then, starting from what somebody guessed in the trip file.
// Trap: on a day that the bank ran dry the load took less than it wanted; counters restart; a power sampled once an hour misses most charges; three days of data must not throw away a sound guess.
// Method: a day's energy is the sum of the counter's rises (a fall is a restart and counts from zero), or the trapezium of powers no more than
// two hours apart covering most of a day. Normal update of the declared mean with its doubt; the declared spread is a share of the mean and worth four days;
// a day to come has the variance of the t distribution, ν/(ν - 2) of the scale, because the spread itself is not known.
// Source: A. Gelman et al., "Bayesian Data Analysis", 3rd ed., section 3.3. Check: LoadLearnerTests.

/// <summary>Learns a load's energy a day.</summary>
internal static class LoadLearner
{
    private const double MostPriorDays = 3;
    private const double PriorSpreadDays = 4;

    /// <summary>Common practice, no published source: a guessed consumption is off by a quarter.</summary>
    internal const double DeclaredDoubt = 0.25;

    internal static LoadBelief Learn(Load declared, IEnumerable<(Instant Time, LoadReading Body)> readings, Offset zone, LocalDate today, IReadOnlySet<LocalDate>? dry = null, double doubt = DeclaredDoubt)
    {
        double[] usual = declared.Class == LoadClass.LifeSafety ? LoadHours.Even : LoadHours.Evening;
        double prior = Math.Max(0, declared.PerDay.Value);
        double priorSd = Math.Max(0.02, declared.Spread) * prior;
        double[] days = [.. DailyEnergy(readings, zone).Where(day => day.Key < today && dry?.Contains(day.Key) != true).OrderBy(day => day.Key).Select(day => day.Value)];
        if (days.Length == 0)
        {
            return new LoadBelief(prior, doubt * prior, priorSd, 0, LoadHours.Learn(usual, prior, readings, zone));
        }

        // A guess that may be off by a quarter, of a load that differs by a quarter from day to day, is worth one day; a steady load's guess is worth more.
        double declaredSd = doubt * prior;
        double guessDays = Math.Min(MostPriorDays, priorSd * priorSd / Math.Max(1e-9, declaredSd * declaredSd));
        double mean = days.Average();
        double squares = days.Sum(day => (day - mean) * (day - mean));
        double n = days.Length;
        double posterior = ((guessDays * prior) + (n * mean)) / (guessDays + n);
        double usualSd = Math.Max(0.02, declared.Spread) * posterior;
        double spread = ((PriorSpreadDays * usualSd * usualSd) + squares) / (PriorSpreadDays + n - 2);
        double meanSd = Math.Sqrt(1 / ((1 / Math.Max(1e-9, declaredSd * declaredSd)) + (n / Math.Max(1e-9, spread))));
        return new LoadBelief(posterior, meanSd, Math.Sqrt(spread), days.Length, LoadHours.Learn(usual, posterior, readings, zone));
    }

    internal static Dictionary<LocalDate, double> DailyEnergy(IEnumerable<(Instant Time, LoadReading Body)> readings, Offset zone)
    {
        var energy = new Dictionary<LocalDate, double>();
        var covered = new Dictionary<LocalDate, double>();
        (Instant Time, LoadReading Body)? previous = null;
        foreach ((Instant time, LoadReading body) in readings)
        {
            if (previous is { } before && Between(before, (time, body)) is { } wattHours)
            {
                Spread(energy, covered, before.Time, time, wattHours, zone);
            }

            previous = (time, body);
        }

        // A day counts when it was seen for 20 of its 24 hours.
        return energy.Where(day => covered[day.Key] >= 20).ToDictionary(day => day.Key, day => day.Value * 24 / covered[day.Key]);
    }

    internal static double? Between((Instant Time, LoadReading Body) before, (Instant Time, LoadReading Body) after)
    {
        double hours = (after.Time - before.Time).TotalHours;
        if (before.Body.EnergyTotal is { } first && after.Body.EnergyTotal is { } second && hours <= 30)
        {
            return second.Value >= first.Value ? second.Value - first.Value : Math.Max(0, second.Value);
        }

        return before.Body.Watts is { } a && after.Body.Watts is { } b && hours <= 2 ? (a.Value + b.Value) / 2 * hours : null;
    }

    // An interval over midnight is shared out by time.
    internal static void Spread(
        Dictionary<LocalDate, double> energy, Dictionary<LocalDate, double> covered, Instant from, Instant to, double wattHours, Offset zone)
    {
        double total = (to - from).TotalHours;
        if (total <= 0)
        {
            return;
        }

        Instant at = from;
        while (at < to)
        {
            LocalDate day = at.WithOffset(zone).Date;
            Instant midnight = day.PlusDays(1).AtMidnight().WithOffset(zone).ToInstant();
            Instant end = midnight < to ? midnight : to;
            double hours = (end - at).TotalHours;
            energy[day] = energy.GetValueOrDefault(day) + (wattHours * hours / total);
            covered[day] = covered.GetValueOrDefault(day) + hours;
            at = end;
        }
    }
}
