using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Storage.Days;
using KitMesh.Storage.RollUps;
using NodaTime;

namespace KitMesh.Hub.Pages;

// Problem: who eats the bank, by day, from hours of power and counters of energy.
// Traps: the store's days are UTC's, the crew's are not; a device that was seen for six hours did not take a quarter of a day's
// energy, it took at least what was seen; a counter that restarts falls; a counter says nothing in the hours before its first value.
// Method: roll-ups by the hour. Power: mean times the time for which it was known. Counter: rise of the last value from hour to
// hour at most a day apart, shared out over the hours between; a fall is a restart and counts from zero. Where a device has both,
// the counter wins, since a power seen now and then misses what happened between. A device that tells neither, and has a battery,
// took at least the rises of its charge; the charger's losses are not in that, and a rise faster than its charger is a swap.
// Figures beside it say how much was seen.
// Civil days begin at a whole hour of UTC plus the zone's offset; where that is not a whole hour, an hour belongs to the day in
// which its middle lies.

/// <summary>Gathers what devices took from a bank by civil day.</summary>
internal static class LoadDesk
{
    /// <summary>Days that are shown.</summary>
    public const int ShownDays = 7;

    private const int LongestGapHours = 24;

    /// <summary>A charge that rises this much faster than the charger can is a swapped battery. Own choice.</summary>
    private const double FasterThanItsCharger = 1.2;

    /// <summary>The row of one device.</summary>
    /// <param name="load">The device.</param>
    /// <param name="watts">Its power by the hour, in order.</param>
    /// <param name="counter">Its counter of energy by the hour, in order.</param>
    /// <param name="charge">Charge of its own battery by the hour, in order.</param>
    /// <param name="now">World time.</param>
    /// <param name="zone">The crew's civil time.</param>
    /// <param name="told">Days of it that hubs told ahead of their readings.</param>
    public static LoadRow Of(Load load, IReadOnlyList<RollUp> watts, IReadOnlyList<RollUp> counter, IReadOnlyList<RollUp> charge, Instant now, Offset zone, ToldDays? told = null)
    {
        LocalDate today = now.WithOffset(zone).Date;
        var taken = new Dictionary<LocalDate, (double WattHours, Duration Seen)>();
        bool isByCharge = counter.Count < 2 && watts.Count == 0 && load.Battery is not null;
        if (counter.Count > 1)
        {
            AddRises(taken, counter, (before, after, _) => after >= before ? after - before : Math.Max(0, after), zone);
        }
        else if (isByCharge)
        {
            AddRises(taken, charge, (before, after, hours) => IntoBattery(load, after - before, hours), zone);
        }
        else
        {
            AddWatts(taken, watts, zone);
        }

        LoadDay?[] days = [.. Enumerable.Range(0, ShownDays).Select(back => Day(taken, today.PlusDays(-back), now, zone))];
        foreach (LoadDay stand in StandIns(load, watts, counter, told, now))
        {
            int back = Period.DaysBetween(stand.Day, today);
            if (back is > 0 and < ShownDays)
            {
                days[back] = stand;
            }
        }

        LoadDay[] whole = [.. days.Skip(1).OfType<LoadDay>().Where(day => day.IsWhole)];
        return new LoadRow(load.Id, load.PerDay, whole.Length == 0 ? null : new WattHours(whole.Sum(day => day.Taken.Value) * 24 / whole.Sum(day => day.Seen.TotalHours)), isByCharge, days);
    }

    /// <summary>From when on hours are needed.</summary>
    public static Instant Since(Instant now, Offset zone) =>
        now.WithOffset(zone).Date.PlusDays(1 - ShownDays).AtMidnight().WithOffset(zone).ToInstant() - Duration.FromHours(LongestGapHours);

    /// <summary>Days by another hub's word: from the counter where it did not restart, else from the power. A charge by the day tells no rises.</summary>
    private static IEnumerable<LoadDay> StandIns(Load load, IReadOnlyList<RollUp> watts, IReadOnlyList<RollUp> counter, ToldDays? told, Instant now)
    {
        if (told is null)
        {
            return [];
        }

        LoadDay Show(DayFigure day, double wattHours) => new(day.Day.Day, new WattHours(wattHours), day.Known, Duration.FromHours(24)) { By = day.By, ToldAgo = now - day.Told!.Value };
        LoadDay[] byCounter = [.. told.StandInsFor(new SeriesKey(load.Id, SeriesQuantity.LoadEnergyTotal), counter)
            .Where(day => day.Samples > 1 && day.Last == day.Greatest).Select(day => Show(day, day.Greatest - day.Least))];
        IEnumerable<LoadDay> byWatts = told.StandInsFor(new SeriesKey(load.Id, SeriesQuantity.LoadWatts), watts).Select(day => Show(day, Math.Max(0, day.Mean) * day.Known.TotalHours));
        return byWatts.Where(day => !Array.Exists(byCounter, other => other.Day == day.Day)).Concat(byCounter);
    }

    private static LoadDay? Day(Dictionary<LocalDate, (double WattHours, Duration Seen)> taken, LocalDate day, Instant now, Offset zone)
    {
        if (!taken.TryGetValue(day, out (double WattHours, Duration Seen) known))
        {
            return null;
        }

        Duration gone = now - day.AtMidnight().WithOffset(zone).ToInstant();
        return new LoadDay(day, new WattHours(known.WattHours), known.Seen, gone < Duration.FromHours(24) ? gone : Duration.FromHours(24));
    }

    private static void AddWatts(Dictionary<LocalDate, (double WattHours, Duration Seen)> taken, IReadOnlyList<RollUp> watts, Offset zone)
    {
        foreach (RollUp hour in watts.Where(hour => hour.Known > Duration.Zero))
        {
            Add(taken, hour.Start, Math.Max(0, hour.Mean) * hour.Known.TotalHours, hour.Known, zone);
        }
    }

    private static double IntoBattery(Load load, double rise, int hours)
    {
        double wattHours = Math.Max(0, rise) * load.Battery!.Value.Value;
        return load.Charger is { } charger && wattHours > charger.Value * hours * FasterThanItsCharger ? 0 : wattHours;
    }

    private static void AddRises(Dictionary<LocalDate, (double WattHours, Duration Seen)> taken, IReadOnlyList<RollUp> told, Func<double, double, int, double> rise, Offset zone)
    {
        RollUp[] read = [.. told.Where(hour => hour.Samples > 0)];
        foreach ((RollUp before, RollUp after) in read.Zip(read.Skip(1)))
        {
            int hours = (int)(after.Start - before.Start).TotalHours;
            if (hours is < 1 or > LongestGapHours)
            {
                continue;
            }

            double wattHours = rise(before.Last, after.Last, hours);
            for (int i = 1; i <= hours; i++)
            {
                Add(taken, before.Start + Duration.FromHours(i), wattHours / hours, Duration.FromHours(1), zone);
            }
        }
    }

    private static void Add(Dictionary<LocalDate, (double WattHours, Duration Seen)> taken, Instant hour, double wattHours, Duration seen, Offset zone)
    {
        LocalDate day = (hour + Duration.FromMinutes(30)).WithOffset(zone).Date;
        (double WattHours, Duration Seen) so = taken.GetValueOrDefault(day);
        taken[day] = (so.WattHours + wattHours, so.Seen + seen);
    }
}
