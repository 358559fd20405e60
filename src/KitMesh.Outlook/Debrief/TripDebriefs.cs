using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Learning;
using NodaTime;

namespace KitMesh.Outlook.Debrief;

// Problem: after the trip, what did the energy really do, and what did that cost and save.
// Trap: what nobody measured is not zero; a bank that is read by itself and through its packs must not count twice; box heat is no meter's reading.
// Method: powers added up by civil day (DayMeter); box heat as UA·(T - Ta)·t with UA as learnt; each morning's forecast asked again from what had been
// read by then, with the code that answers on the trip.

/// <summary>Answers what a trip's energy did.</summary>
public static class TripDebriefs
{
    private const int MostForecasts = 120;

    /// <summary>The debrief.</summary>
    /// <param name="question">Kit, readings and days.</param>
    public static TripDebrief Answer(DebriefQuestion question)
    {
        ArgumentNullException.ThrowIfNull(question);
        Trip trip = question.Kit.OfType<Trip>().Single();
        Instant end = question.To.PlusDays(1).AtMidnight().WithOffset(trip.ZoneOffset).ToInstant();
        var ignored = new List<EnergyAssumption>();
        var book = new KitBook(question.Kit, end, ignored);
        var readings = new ReadingBook(question.Readings, end);
        HashSet<KitId> ours = [.. question.Kit.Select(item => item switch
        {
            Load load when Ours(question, book, load.Bank) => load.Id,
            Panel panel when Ours(question, book, panel.Bank) => panel.Id,
            Bank { Box: { } box } bank when Ours(question, book, bank.Id) => box,
            _ => question.Kit[0].Id,
        })];
        ValueList<TripEvidence> learnt = EnergyEvidence.Of(question.Kit, question.Readings, end).Where(one => ours.Contains(one.Item)).ToValueList();
        Dictionary<(KitId Bank, LocalDate Day), EnergySpread> forecasts = Forecasts(question, book, trip.ZoneOffset);
        LocalDate[] days = [.. Enumerable.Range(0, Math.Clamp(Period.DaysBetween(question.From, question.To) + 1, 0, 4000)).Select(question.From.PlusDays)];
        var banks = new List<BankDebrief>();
        var loads = new List<LoadDebrief>();
        var cold = new List<ColdCharge>();
        foreach (Bank declared in book.Banks.Where(bank => question.Team is null || bank.Team == question.Team))
        {
            if (BankKit.Of(declared, book, ignored) is not { } bank)
            {
                continue;
            }

            banks.Add(new BankDebrief(
                declared.Id, declared.Team, new WattHours(bank.CapacityWh), declared.Reserve, new BankMeter(bank, book, readings, learnt).Days(days, forecasts).ToValueList()));
            loads.AddRange(bank.Loads.Select(load => Load(load, readings, trip.ZoneOffset, question)));
            cold.AddRange(Cold(bank, readings, question, trip.ZoneOffset));
        }

        return new TripDebrief(banks.ToValueList(), loads.ToValueList(), cold.ToValueList(), learnt);
    }

    private static bool Ours(DebriefQuestion question, KitBook book, KitId bank) =>
        question.Team is not { } team || book.Banks.Any(one => one.Id == bank && one.Team == team);

    private static LoadDebrief Load(Load load, ReadingBook readings, Offset zone, DebriefQuestion question)
    {
        (Instant Time, LoadReading Body)[] all = [.. readings.Load(load.Id).Where(reading => Within(question, reading.Time, zone))];
        double total = 0;
        int refused = 0;
        double refusedHours = 0;
        for (int i = 0; i < all.Length; i++)
        {
            bool refuses = all[i].Body.Activity == ChargeActivity.PluggedNotCharging;
            bool refusedBefore = i > 0 && all[i - 1].Body.Activity == ChargeActivity.PluggedNotCharging;
            refused += refuses && !refusedBefore ? 1 : 0;
            if (i > 0)
            {
                total += LoadLearner.Between(all[i - 1], all[i]) ?? 0;
                double hours = (all[i].Time - all[i - 1].Time).TotalHours;
                refusedHours += refusedBefore && hours <= 6 ? hours : 0;
            }
        }

        double[] whole = [.. LoadLearner.DailyEnergy(all, zone).Values];
        return new LoadDebrief(load.Id, load.Bank, load.PerDay, new WattHours(total), whole.Length, whole.Length > 0 ? new WattHours(whole.Average()) : null, refused, refusedHours);
    }

    private static IEnumerable<ColdCharge> Cold(BankKit bank, ReadingBook readings, DebriefQuestion question, Offset zone)
    {
        foreach (KitId subject in bank.Packs.Select(pack => pack.Id).Append(bank.Bank.Id).Distinct())
        {
            Celsius limit = bank.Packs.FirstOrDefault(pack => pack.Id == subject) is { } pack ? ChargeLimits.For(pack).PublishedLower : bank.Limits.PublishedLower;
            var meter = new ColdMeter(subject, bank.Bank.Id, limit);
            bool any = false;
            foreach ((Instant time, BatteryReading body) in readings.Battery(subject).Where(reading => Within(question, reading.Time, zone)))
            {
                meter.See(time, body);
                any = true;
            }

            if (any)
            {
                yield return meter.Sum;
            }
        }
    }

    private static bool Within(DebriefQuestion question, Instant time, Offset zone)
    {
        LocalDate day = time.WithOffset(zone).Date;
        return day >= question.From && day <= question.To;
    }

    private static Dictionary<(KitId Bank, LocalDate Day), EnergySpread> Forecasts(DebriefQuestion question, KitBook book, Offset zone)
    {
        var forecasts = new Dictionary<(KitId Bank, LocalDate Day), EnergySpread>();
        int days = Period.DaysBetween(question.From, question.To) + 1;
        if (question.ForecastPaths == 0 || days > MostForecasts)
        {
            return forecasts;
        }

        for (int i = 0; i < days; i++)
        {
            LocalDate day = question.From.PlusDays(i);
            Instant morning = day.AtMidnight().WithOffset(zone).ToInstant();

            // Only the day itself is asked for: without the days after it the paths are short.
            ValueList<KitItem> kit = question.Kit.Select(item => item is Trip trip ? trip with { LastDay = day } : item).ToValueList();
            var asked = new EnergyQuestion(morning, kit, question.Readings.Where(reading => reading.Time <= morning).ToValueList(), [], question.Seed, question.ForecastPaths);
            foreach (Bank bank in book.Banks.Where(bank => question.Team is null || bank.Team == question.Team))
            {
                if (EnergyEnsemble.Of(asked, bank.Id, learn: true) is { HarvestWattHours: [var harvest, ..] })
                {
                    double[] sorted = [.. harvest.Order()];
                    WattHours At(double share) => new(sorted[(int)(share * (sorted.Length - 1))]);
                    forecasts[(bank.Id, day)] = new EnergySpread(At(0.1), At(0.5), At(0.9));
                }
            }
        }

        return forecasts;
    }
}
