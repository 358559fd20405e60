using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Box;
using KitMesh.Outlook.Learning;
using NodaTime;

namespace KitMesh.Outlook.Energy;

/// <summary>What is believed of one bank's sky, panels, loads, box and air: declared, then learnt.</summary>
internal sealed record BankBeliefs(
    SkyShape Sky,
    SkyBelief Yield,
    IReadOnlyDictionary<KitId, LoadBelief> Loads,
    BoxBelief Box,
    double AirShiftK,
    double AirDoubtK,
    double AirNowK,
    HeaterPolicy Heater)
{
    internal static BankBeliefs Of(
        BankKit bank, KitBook kit, SiteBook sites, ReadingBook readings, Instant now, bool learn, List<EnergyAssumption> assumptions, IReadOnlyList<KitDoubt>? doubts = null,
        PlanCaution? caution = null)
    {
        Place place = kit.PlaceOf(bank.Bank.Team, kit.Today) ?? SiteBook.Nowhere;
        if (place == SiteBook.Nowhere)
        {
            assumptions.Add(new EnergyAssumption(bank.Bank.Team, "no sun at all and -20 to -5 °C", "its place is not declared or out of the models' range", true));
        }

        SkyShape sky = SkyShape.Fit(place.ClearSkyShare, SkyShape.TypicalSd(place.ClearSkyShare));
        SkyBelief yield = SkyLearner.Learn(sky, learn ? YieldRatios.Of(bank, kit, sites, readings) : [], caution);
        if (yield.Days == 0 && bank.Panels.Select(panel => Doubt(doubts, panel.Id, LearntFigure.PanelDerate)).OfType<double>().ToArray() is { Length: > 0 } panels)
        {
            yield = yield with { PanelDoubt = panels.Average() };
        }

        if (learn && readings.Any && now - readings.First > Duration.FromDays(2))
        {
            foreach (Panel panel in bank.Panels.Where(panel => !readings.Panel(panel.Id).Any()))
            {
                assumptions.Add(new EnergyAssumption(panel.Id, "that it gives what the trip file says", "the panel is declared and was never seen to give power", true));
                yield = yield with { PanelDoubt = Math.Max(yield.PanelDoubt, 0.25) };
            }
        }

        IReadOnlySet<LocalDate> dry = readings.DryDays(bank.Bank, bank.Packs, kit.Zone);
        var loads = bank.Loads.ToDictionary(
            load => load.Id, load => LoadLearner.Learn(load, learn ? readings.Load(load.Id) : [], kit.Zone, kit.Today, dry, Doubt(doubts, load.Id, LearntFigure.LoadPerDay) ?? LoadLearner.DeclaredDoubt));
        (double shift, double doubt, double anomaly) = learn ? Air(bank, kit, readings, now) : (0, 2, 0);
        BoxBelief box = Thermal(bank, learn ? readings : null, kit, bank.Box is { } one ? Doubt(doubts, one.Id, LearntFigure.BoxLoss) : null);
        HeaterPolicy heater = Policy(bank, learn ? readings : null, kit, assumptions);
        return new BankBeliefs(sky, yield, loads, box, shift, doubt, anomaly, heater);
    }

    private static double? Doubt(IReadOnlyList<KitDoubt>? doubts, KitId item, LearntFigure figure) =>
        doubts?.FirstOrDefault(doubt => doubt.Item == item && doubt.Figure == figure)?.Relative;

    // Thermometers at the place against the declared temperatures: how far off the season is, and how far off today is.
    private static (double Shift, double Doubt, double Now) Air(BankKit bank, KitBook kit, ReadingBook readings, Instant now)
    {
        var byDay = new SortedDictionary<LocalDate, (double Sum, int Count)>();
        foreach (KitId subject in new[] { kit.PlaceOf(bank.Bank.Team, kit.Today)?.Id, bank.Bank.Team }.OfType<KitId>().Distinct())
        {
            foreach ((Instant time, TemperatureReading body) in readings.Temperature(subject).Where(r => r.Body.Temperature.IsPhysical))
            {
                OffsetDateTime civil = time.WithOffset(kit.Zone);
                if (kit.PlaceOf(bank.Bank.Team, civil.Date) is not { } place)
                {
                    continue;
                }

                double swing = (place.DayTemperature.Value - place.NightTemperature.Value) / 2;
                double hour = civil.TimeOfDay.NanosecondOfDay / 3.6e12;
                double usual = ((place.DayTemperature.Value + place.NightTemperature.Value) / 2) + (0.85 * swing * Math.Cos((hour - 14.5) * Math.PI / 12));
                (double sum, int count) = byDay.GetValueOrDefault(civil.Date);
                byDay[civil.Date] = (sum + body.Temperature.Value - usual, count + 1);
            }
        }

        if (byDay.Count == 0)
        {
            return (0, 2, 0);
        }

        double[] days = [.. byDay.Values.Select(day => day.Sum / day.Count)];

        // Prior of 2 K in the season; days of 4 K spread, of which persistence leaves about a fifth as independent.
        double precision = (1 / 4.0) + (days.Length * 0.18 / 16.0);
        double shift = days.Sum() * 0.18 / 16.0 / precision;
        bool fresh = Period.DaysBetween(byDay.Keys.Last(), kit.Today) <= 1;
        return (shift, Math.Sqrt(1 / precision), fresh ? days[^1] - shift : 0);
    }

    private static BoxBelief Thermal(BankKit bank, ReadingBook? readings, KitBook kit, double? doubt)
    {
        var learner = new BoxLearner(bank.Thermal, bank.ThermalGuessed ? 0.6 : doubt is { } known ? known / Math.Sqrt(2) : 0.3);
        if (readings is null || bank.Box is null)
        {
            return learner.Belief;
        }

        IReadOnlyList<(Instant Time, Celsius Value)> air = kit.PlaceOf(bank.Bank.Team, kit.Today) is { } place
            ? [.. readings.Temperature(place.Id).Select(r => (r.Time, r.Body.Temperature))]
            : [];
        BoxReadings.Show(learner, bank, readings.Battery(bank.Bank, bank.Packs), air);
        return learner.Belief;
    }

    private static HeaterPolicy Policy(BankKit bank, ReadingBook? readings, KitBook kit, List<EnergyAssumption> assumptions)
    {
        if (bank.Box is not { Heater.Value: > 0 } box)
        {
            return HeaterPolicy.Off;
        }

        Celsius[] nights =
        [
            .. (readings?.Battery(bank.Bank, bank.Packs) ?? [])
                .Where(reading => reading.Body.ColdestProbe is not null && reading.Time.WithOffset(kit.Zone).Hour is >= 1 and < 5)
                .Select(reading => reading.Body.ColdestProbe!.Value),
        ];
        if (nights.Length >= 3)
        {
            double median = nights.Select(night => night.Value).Order().ElementAt(nights.Length / 2);
            return median > box.HeaterOn.Value - 3 ? HeaterPolicy.Always : HeaterPolicy.ForTheSun;
        }

        assumptions.Add(new EnergyAssumption(
            bank.Bank.Id,
            string.Create(CultureInfo.InvariantCulture, $"the heater's thermostat is left on day and night ({box.HeaterOn.Value:0} to {box.HeaterOff.Value:0} °C)"),
            "no night was measured yet",
            false));
        return HeaterPolicy.Always;
    }
}
