using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Sun;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Outlook.Plan;

// Problem: before the trip nothing is measured, and the same question stands: will it last.
// Method: the outlooks as they are, asked on the first morning with the charge at arrival, the declared loads and the calendar; beside them plain sums
// that anybody can check with a pencil, because a chance alone convinces nobody. What the trip file does not tell is listed, never guessed.

/// <summary>Answers whether a kit lasts, before the trip.</summary>
public static class TripPlanner
{
    /// <summary>Hours from 18 to 7 o'clock.</summary>
    private const double NightHours = 13;

    /// <summary>The plan.</summary>
    /// <param name="question">What the trip file declares.</param>
    public static TripPlan Answer(PlanQuestion question)
    {
        ArgumentNullException.ThrowIfNull(question);
        var world = new PlanWorld(question.Kit, question.Seed, question.Doubts);
        EnergyOutlook energy = EnergyForecaster.Answer(world.Question(question.Paths), learn: false);
        FootageOutlook? footage = world.Footage(question.Kit);
        bool isBad = energy.Banks.Any(bank => bank.ShortByLastDay.Best.Value > question.ShortLimit)
            || (footage is not null && 1 - footage.RoomLasts.Value > question.ShortLimit);
        return new TripPlan(
            world.Trip.Id,
            world.Days,
            question.ShortLimit,
            energy,
            energy.Banks.Select(bank => Sum(bank, question.Kit, world.Days)).ToValueList(),
            footage,
            Storage(question.Kit, world.Days, footage),
            question.Kit.OfType<Bank>().Select(bank => Night(bank, question.Kit)).ToValueList(),
            Calendar(world).ToValueList(),
            PlanWeights.Of(question.Kit, question.Extras).ToValueList(),
            PlanWeights.Untold(question.Kit, question.Extras).ToValueList(),
            PlanAir.Of(question.Kit, question.Extras).ToValueList(),
            PlanSinglePoints.Of(question.Kit, question.Extras).ToValueList(),
            PlanSpares.Of(question, world, footage).ToValueList(),
            question.Learnt,
            isBad)
        {
            WayHome = HomeSplit.Of(question.Kit, footage?.Copies ?? 2, question.Kit.OfType<FootageSource>().Sum(source => source.GigabytesPerDay) * world.Days).ToValueList(),
            Sunless = Sunless(world).ToValueList(),
        };
    }

    internal static EnergySum Sum(BankOutlook bank, ValueList<KitItem> kit, int days)
    {
        Bank declared = kit.OfType<Bank>().Single(one => one.Id == bank.Bank);
        double perDay = kit.OfType<Load>().Where(load => load.Bank == bank.Bank).Sum(load => load.PerDay.Value);
        double holds = bank.Capacity.Value;
        double above = Math.Max(0, (declared.ArrivalCharge.Value - declared.Reserve.Value) * holds);
        return new EnergySum(
            bank.Bank,
            bank.Capacity,
            new WattHours(holds * declared.ArrivalCharge.Value),
            new WattHours(holds * declared.Reserve.Value),
            new WattHours(perDay),
            days,
            new WattHours(perDay * days),
            new WattHours(bank.Days.Sum(day => day.Harvest.P50.Value)),
            new WattHours(bank.Days.Sum(day => day.Heater.P50.Value)),
            perDay > 0 ? above / perDay : double.PositiveInfinity);
    }

    internal static StorageSum? Storage(ValueList<KitItem> kit, int days, FootageOutlook? footage)
    {
        if (footage is null)
        {
            return null;
        }

        double perDay = kit.OfType<FootageSource>().Sum(source => source.GigabytesPerDay);
        double have = kit.OfType<Drive>().Sum(drive => drive.Capacity.Value / 1e9);
        return new StorageSum(perDay, days, footage.Copies, perDay * days * footage.Copies, have, perDay > 0 ? have / (perDay * footage.Copies) : double.PositiveInfinity);
    }

    internal static ChargeNight Night(Bank bank, ValueList<KitItem> kit)
    {
        Outlet[] outlets = [.. kit.OfType<Outlet>().Where(outlet => outlet.Bank == bank.Id)];
        double limit = outlets.Select(outlet => outlet.Limit.Value).DefaultIfEmpty(0).Max();
        (KitId Load, double Hours)[] loads =
        [
            .. kit.OfType<Load>()
                .Where(load => load.Bank == bank.Id && load is { Battery: not null, Charger: not null })
                .Select(load => (load.Id, Hours: limit > 0 ? load.PerDay.Value / Math.Min(limit, load.Charger!.Value.Value) : double.PositiveInfinity))
                .OrderByDescending(load => load.Hours),
        ];
        return new ChargeNight(bank.Id, outlets.Length, loads.Sum(load => load.Hours), outlets.Length * NightHours, loads.Length > 0 ? loads[0].Load : null, loads.Length > 0 ? loads[0].Hours : 0);
    }

    private static IEnumerable<CalendarSpan> Calendar(PlanWorld world)
    {
        var book = new KitBook(world.Kit, world.Start, []);
        foreach (Team team in world.Kit.OfType<Team>())
        {
            CalendarSpan? span = null;
            for (LocalDate day = world.Trip.FirstDay; day <= world.Trip.LastDay; day = day.PlusDays(1))
            {
                CalendarDay? told = book.DayOf(team.Id, day);
                var here = new CalendarSpan(team.Id, day, day, told?.DayKind ?? DayKind.Camp, told?.Where ?? team.Home, told?.PanelHours);
                if (span is not null && span with { To = day, From = day } == here)
                {
                    span = span with { To = day };
                    continue;
                }

                if (span is not null)
                {
                    yield return span;
                }

                span = here;
            }

            yield return span!;
        }
    }

    private static IEnumerable<SunlessSpan> Sunless(PlanWorld world)
    {
        var book = new KitBook(world.Kit, world.Start, []);
        var sites = new SiteBook(world.Start, world.Start + Duration.FromDays(world.Days));
        LocalDate[] days = [.. Enumerable.Range(0, world.Days).Select(world.Trip.FirstDay.PlusDays)];
        return world.Kit.OfType<Team>().SelectMany(team => days
            .Select(day => (Day: day, Place: book.PlaceOf(team.Id, day)))
            .Where(one => one.Place is { } place && sites.Day(place, one.Day).State == SunDayState.PolarNight)
            .GroupBy(one => one.Place!.Id, one => one.Day)
            .Select(dark => new SunlessSpan(team.Id, dark.Key, dark.First(), dark.Last(), dark.Count())));
    }
}
