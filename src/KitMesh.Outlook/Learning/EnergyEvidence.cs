using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Box;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Outlook.Learning;

// Problem: what a trip's readings say of loads, panels and boxes, in a form that other trips can be added to.
// Trap: a posterior holds its prior; adding the posteriors of three trips counts the same guess in the trip file three times. A load on a day on which the bank came down to its
// reserve took less than it wanted, on a travel or rest day less than on an ordinary one. What a panel gave under one trip's sky is its own merit only as far as sky and panel can be told apart.
// Method: sample mean and standard error of whole days for loads; for boxes and panels the posterior with the declared prior divided out again, as precisions on the
// logarithm: 1/s² = 1/s_post² - 1/s_prior², value by the same weights. What told nothing gives no evidence.
// Source: product of normal densities, A. Gelman et al., "Bayesian Data Analysis", 3rd ed., section 2.5. Check: LearntKitTests.

/// <summary>Evidence on energy figures from one trip.</summary>
internal static class EnergyEvidence
{
    /// <summary>No estimate from one trip is believed more narrowly than this: places, people and weather differ. Own choice.</summary>
    private const double LeastRelative = 0.03;

    /// <summary>So far above the reserve crews begin to stop work. Common practice, no source.</summary>
    private const double RationsAbove = 0.03;

    internal static IEnumerable<TripEvidence> Of(ValueList<KitItem> items, ValueList<TimedReading> all, Instant now)
    {
        var ignored = new List<EnergyAssumption>();
        Trip trip = items.OfType<Trip>().Single();
        var kit = new KitBook(items, now, ignored);
        var readings = new ReadingBook(all, now);
        Instant start = trip.FirstDay.AtMidnight().WithOffset(trip.ZoneOffset).ToInstant();
        var sites = new SiteBook(readings.First < start - Duration.FromDays(120) ? start : readings.First, now);
        foreach (Bank declared in kit.Banks)
        {
            if (BankKit.Of(declared, kit, ignored) is not { } bank)
            {
                continue;
            }

            IReadOnlySet<LocalDate> dry = readings.DryDays(bank.Bank, bank.Packs, kit.Zone);
            HashSet<LocalDate> rationed = [.. dry, .. RationedDays(bank, kit, readings)];
            foreach (TripEvidence load in bank.Loads.Select(load => Load(trip, load, kit, readings, load.Class == LoadClass.LifeSafety ? dry : rationed)).OfType<TripEvidence>())
            {
                yield return load;
            }

            BankBeliefs beliefs = BankBeliefs.Of(bank, kit, sites, readings, now, learn: true, ignored);
            foreach (TripEvidence one in Panels(trip, bank, beliefs, readings).Concat(Box(trip, bank, beliefs)))
            {
                yield return one;
            }
        }
    }

    // Days on which the bank came down to its reserve, and the day after: crews stop work then and catch up later. Days that are no ordinary ones by the calendar.
    private static IEnumerable<LocalDate> RationedDays(BankKit bank, KitBook kit, ReadingBook readings)
    {
        double stop = bank.Bank.Reserve.Value + RationsAbove;
        foreach ((Instant time, BatteryReading body) in readings.Battery(bank.Bank, bank.Packs).Where(reading => reading.Body.Charge is { } charge && charge.Value <= stop))
        {
            LocalDate day = time.WithOffset(kit.Zone).Date;
            yield return day;
            yield return day.PlusDays(1);
        }
    }

    private static TripEvidence? Load(Trip trip, Load load, KitBook kit, ReadingBook readings, IReadOnlySet<LocalDate> dry)
    {
        KeyValuePair<LocalDate, double>[] days = [.. LoadLearner.DailyEnergy(readings.Load(load.Id), kit.Zone).Where(day => day.Key < kit.Today && !dry.Contains(day.Key) && kit.KindOf(load.Team, day.Key) is DayKind.Camp or DayKind.Storm).OrderBy(day => day.Key)];
        if (days.Length == 0)
        {
            return null;
        }

        double mean = days.Average(day => day.Value);
        double declaredSd = Math.Max(0.02, load.Spread) * load.PerDay.Value;

        // The declared spread is worth four days, so that two like days do not claim certainty.
        double variance = (days.Sum(day => (day.Value - mean) * (day.Value - mean)) + (4 * declaredSd * declaredSd)) / (days.Length + 4);
        (double? slope, double? air) = Slope(load, days, mean, variance, kit, readings);
        return new TripEvidence(
            trip.Id.Value, load.Id, LearntFigure.LoadPerDay, load.Class.ToString().ToLowerInvariant(), "Wh/d", load.PerDay.Value, mean,
            Math.Max(LeastRelative * mean, Math.Sqrt(variance / days.Length)), Math.Sqrt(variance), days.Length, "days", slope, air);
    }

    // Regression through the means, with a prior of 0 ± 1 % a kelvin; needs five days whose air spreads by 2 K.
    private static (double? Slope, double? Air) Slope(Load load, KeyValuePair<LocalDate, double>[] days, double mean, double variance, KitBook kit, ReadingBook readings)
    {
        var air = new Dictionary<LocalDate, (double Sum, int Count)>();
        foreach (KitId place in days.Select(day => kit.PlaceOf(load.Team, day.Key)?.Id).OfType<KitId>().Distinct())
        {
            foreach ((Instant time, TemperatureReading body) in readings.Temperature(place).Where(reading => reading.Body.Temperature.IsPhysical))
            {
                LocalDate day = time.WithOffset(kit.Zone).Date;
                (double sum, int count) = air.GetValueOrDefault(day);
                air[day] = (sum + body.Temperature.Value, count + 1);
            }
        }

        (double Air, double Wh)[] pairs = [.. days.Where(day => air.ContainsKey(day.Key)).Select(day => (air[day.Key].Sum / air[day.Key].Count, day.Value))];
        if (pairs.Length == 0)
        {
            return (null, null);
        }

        double centre = pairs.Average(pair => pair.Air);
        double squares = pairs.Sum(pair => (pair.Air - centre) * (pair.Air - centre));
        if (pairs.Length < 5 || squares / pairs.Length < 4 || !(mean > 0))
        {
            return (null, centre);
        }

        double products = pairs.Sum(pair => (pair.Air - centre) * (pair.Wh - mean) / mean);
        double noise = variance / (mean * mean);
        return (products / noise / ((squares / noise) + (1 / (0.01 * 0.01))), centre);
    }

    private static IEnumerable<TripEvidence> Panels(Trip trip, BankKit bank, BankBeliefs beliefs, ReadingBook readings)
    {
        if (beliefs.Yield.Days == 0 || Divide(1, SkyLearner.PanelPrior, beliefs.Yield.PanelFactor, beliefs.Yield.PanelMarginal) is not { } own)
        {
            yield break;
        }

        foreach (Panel panel in bank.Panels.Where(panel => readings.Panel(panel.Id).Any()))
        {
            double value = Math.Clamp(panel.Derate * own.Value, 0.05, 1);
            yield return new TripEvidence(
                trip.Id.Value, panel.Id, LearntFigure.PanelDerate, "panel", "1", panel.Derate, value, own.Relative * value, null, beliefs.Yield.Days, "days");
        }
    }

    private static IEnumerable<TripEvidence> Box(Trip trip, BankKit bank, BankBeliefs beliefs)
    {
        if (bank.Box is not { } box || beliefs.Box.Readings == 0)
        {
            yield break;
        }

        double prior = bank.ThermalGuessed ? 0.6 : 0.3;
        if (Divide(bank.Thermal.Loss.Value, prior * Math.Sqrt(2), beliefs.Box.Model.Loss.Value, beliefs.Box.LossSigma) is { } loss)
        {
            yield return new TripEvidence(
                trip.Id.Value, box.Id, LearntFigure.BoxLoss, "box", "W/K", box.Loss.Value, loss.Value, loss.Relative * loss.Value, null, beliefs.Box.Readings, "spans");
        }

        if (Divide(bank.Thermal.Capacity.Value, prior, beliefs.Box.Model.Capacity.Value, beliefs.Box.CapacitySigma) is { } capacity)
        {
            yield return new TripEvidence(
                trip.Id.Value, box.Id, LearntFigure.BoxCapacity, "box", "J/K", box.Capacity.Value, capacity.Value, capacity.Relative * capacity.Value, null, beliefs.Box.Readings, "spans");
        }
    }

    /// <summary>Takes a lognormal prior out of a lognormal posterior; null when the posterior is hardly narrower, so that the readings told nothing.</summary>
    internal static (double Value, double Relative)? Divide(double prior, double priorRelative, double posterior, double posteriorRelative)
    {
        double before = 1 / (priorRelative * priorRelative);
        double after = 1 / (posteriorRelative * posteriorRelative);
        if (!(after > 1.05 * before))
        {
            return null;
        }

        double own = after - before;
        double logarithm = Math.Log(prior) + (after / own * Math.Log(posterior / prior));
        return (Math.Exp(logarithm), Math.Max(LeastRelative, 1 / Math.Sqrt(own)));
    }
}
