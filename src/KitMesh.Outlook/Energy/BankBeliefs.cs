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
    /// <summary>Doubt in the power of a panel that was never seen or whose readings cannot be believed. Own choice: twice that of a declared one.</summary>
    private const double DoubtfulPanel = 0.25;

    /// <summary>Doubt in the season's air: of a place that is declared, and of one that is not known. Own choice.</summary>
    private const double DeclaredAirDoubtK = 2;

    private const double UnknownAirDoubtK = 8;

    internal static BankBeliefs Of(
        BankKit bank, KitBook kit, SiteBook sites, ReadingBook readings, Instant now, bool learn, List<EnergyAssumption> assumptions, IReadOnlyList<KitDoubt>? doubts = null,
        PlanCaution? caution = null)
    {
        Place place = kit.PlaceOf(bank.Bank.Team, kit.Today) ?? SiteBook.Nowhere;
        if (place == SiteBook.Nowhere)
        {
            assumptions.Add(new EnergyAssumption(
                bank.Bank.Team, "no sun at all and -20 to -5 °C, either of them far off; at best the sun is enough", "its place is not declared or out of the models' range", true));
        }

        SayLaterPlaces(bank, kit, assumptions);

        SkyShape sky = SkyShape.Fit(place.ClearSkyShare, SkyShape.TypicalSd(place.ClearSkyShare));
        SkyBelief yield = SkyLearner.Learn(sky, learn ? YieldRatios.Of(bank, kit, sites, readings) : [], caution);
        if (yield.Days == 0 && bank.Panels.Select(panel => Doubt(doubts, panel.Id, LearntFigure.PanelDerate)).OfType<double>().ToArray() is { Length: > 0 } panels)
        {
            yield = yield with { PanelDoubt = panels.Average() };
        }

        if (learn && SayPanels(bank, readings, now, assumptions))
        {
            yield = yield with { PanelDoubt = Math.Max(yield.PanelDoubt, DoubtfulPanel) };
        }

        IReadOnlySet<LocalDate> dry = readings.DryDays(bank.Bank, bank.Packs, kit.Zone);
        var loads = bank.Loads.ToDictionary(
            load => load.Id, load => LoadLearner.Learn(load, learn ? readings.Load(load.Id) : [], kit.Zone, kit.Today, dry, Doubt(doubts, load.Id, LearntFigure.LoadPerDay) ?? LoadLearner.DeclaredDoubt));
        (double shift, double doubt, double anomaly) = learn ? Air(bank, kit, readings) : (0, DeclaredAirDoubtK, 0);
        doubt = place == SiteBook.Nowhere ? UnknownAirDoubtK : doubt;
        SayThermometer(bank, kit, readings, assumptions);
        BoxBelief box = Thermal(bank, learn ? readings : null, kit, loads.Values, bank.Box is { } one ? Doubt(doubts, one.Id, LearntFigure.BoxLoss) : null);
        HeaterPolicy heater = Policy(bank, learn ? readings : null, kit, assumptions);
        return new BankBeliefs(sky, yield, loads, box, shift, doubt, anomaly, heater);
    }

    // Days to come at places that are not known: the outlook counts on no sun there.
    private static void SayLaterPlaces(BankKit bank, KitBook kit, List<EnergyAssumption> assumptions)
    {
        int unknown = Enumerable.Range(1, Math.Max(0, kit.Days - 1)).Count(day => kit.PlaceOf(bank.Bank.Team, kit.Today.PlusDays(day)) is null);
        if (unknown > 0)
        {
            assumptions.Add(new EnergyAssumption(
                bank.Bank.Team,
                string.Create(CultureInfo.InvariantCulture, $"no sun at all on {unknown} {(unknown == 1 ? "day" : "days")} to come; at best the sun is enough"),
                "the place of those days is not declared or out of the models' range",
                true));
        }
    }

    // True where a panel's own figures cannot be believed or were never seen.
    private static bool SayPanels(BankKit bank, ReadingBook readings, Instant now, List<EnergyAssumption> assumptions)
    {
        bool doubtful = false;
        foreach (Panel panel in bank.Panels)
        {
            (string Assumed, string Because)? odd =
                readings.Hangs(panel.Id) ? ("nothing from its sensor since it began to repeat itself", "its power has been the same to the last digit for 18 hours or more, by day and by night: look at the sensor")
                : readings.Contradicts(panel.Id) ? ("nothing from the readings that disagree", "volts times amperes and the stated watts disagree by more than 15 %: check the sensor")
                : readings.Any && now - readings.First > Duration.FromDays(2) && !readings.Panel(panel.Id).Any(reading => GivesPower(reading.Body))
                    ? ("that it gives what the trip file says", "the panel is declared and was never seen to give power")
                    : null;
            if (odd is { } said)
            {
                assumptions.Add(new EnergyAssumption(panel.Id, said.Assumed, said.Because, true));
                doubtful = true;
            }
        }

        return doubtful;
    }

    private static bool GivesPower(PanelReading body) =>
        body.Watts is { Value: > 0 } || body.SunHours > 0 || body.YieldTotal is { Value: > 0 } || body is { Volts.Value: > 0, Amperes.Value: > 0 };

    private static void SayThermometer(BankKit bank, KitBook kit, ReadingBook readings, List<EnergyAssumption> assumptions)
    {
        foreach (KitId subject in AirSubjects(bank, kit).Where(readings.Hangs))
        {
            assumptions.Add(new EnergyAssumption(
                subject, "nothing from its thermometer since it began to repeat itself", "the air has been the same to the last digit for 18 hours or more: look at the thermometer", true));
        }
    }

    private static IEnumerable<KitId> AirSubjects(BankKit bank, KitBook kit) =>
        new[] { kit.PlaceOf(bank.Bank.Team, kit.Today)?.Id, bank.Bank.Team }.OfType<KitId>().Distinct();

    private static double? Doubt(IReadOnlyList<KitDoubt>? doubts, KitId item, LearntFigure figure) =>
        doubts?.FirstOrDefault(doubt => doubt.Item == item && doubt.Figure == figure)?.Relative;

    // Thermometers at the place against the declared temperatures: how far off the season is, and how far off today is.
    private static (double Shift, double Doubt, double Now) Air(BankKit bank, KitBook kit, ReadingBook readings)
    {
        var byDay = new SortedDictionary<LocalDate, (double Sum, int Count)>();
        foreach (KitId subject in AirSubjects(bank, kit))
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
            return (0, DeclaredAirDoubtK, 0);
        }

        double[] days = [.. byDay.Values.Select(day => day.Sum / day.Count)];

        // Prior of 2 K in the season; days of 4 K spread, of which persistence leaves about a fifth as independent.
        double precision = (1 / 4.0) + (days.Length * 0.18 / 16.0);
        double shift = days.Sum() * 0.18 / 16.0 / precision;
        bool fresh = Period.DaysBetween(byDay.Keys.Last(), kit.Today) <= 1;
        return (shift, Math.Sqrt(1 / precision), fresh ? days[^1] - shift : 0);
    }

    private static BoxBelief Thermal(BankKit bank, ReadingBook? readings, KitBook kit, IReadOnlyCollection<LoadBelief> loads, double? doubt)
    {
        var learner = new BoxLearner(bank.Thermal, bank.ThermalGuessed ? 0.6 : doubt is { } known ? known / Math.Sqrt(2) : 0.3);
        if (readings is null || bank.Box is null)
        {
            return learner.Belief;
        }

        IReadOnlyList<(Instant Time, Celsius Value)> air = kit.PlaceOf(bank.Bank.Team, kit.Today) is { } place
            ? [.. readings.Temperature(place.Id).Select(r => (r.Time, r.Body.Temperature))]
            : [];
        double[] loadWatts = [.. Enumerable.Range(0, 24).Select(hour => loads.Sum(load => load.MeanWh * load.HourShares[hour]))];
        BoxReadings.Show(learner, bank, readings.Battery(bank.Bank, bank.Packs), air, time => loadWatts[time.WithOffset(kit.Zone).Hour]);
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
