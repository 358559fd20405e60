using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Learning;
using NodaTime;

namespace KitMesh.Outlook.Debrief;

// Problem: power and temperature of one bank often come from two readers, in reports of their own; a deadband leaves hours between them.
// Trap: pairing them only where one report holds both finds nothing; a panel sampled behind a deadband misses its peaks, a controller's counter does not.
// Method: a probe's word holds for an hour; powers are joined over what does not tell them; panels go by their counter where they have one, as its rises.

/// <summary>Adds up what one bank took and gave, day by day.</summary>
internal sealed class BankMeter(BankKit bank, KitBook kit, ReadingBook readings, IReadOnlyList<TripEvidence> learnt)
{
    /// <summary>How long a thermometer's word holds. Own choice: cells in a box change by a kelvin or two in that time.</summary>
    internal static readonly Duration ProbeHolds = Duration.FromHours(1);

    private readonly Dictionary<LocalDate, double> _panels = [];
    private readonly Dictionary<LocalDate, double> _covered = [];
    private readonly List<DayMeter> _packs = [];
    private readonly DayMeter _heat = new(kit.Zone);
    private readonly List<DayMeter> _warm = [];
    private readonly Dictionary<LocalDate, double> _lowest = [];
    private readonly Dictionary<LocalDate, double> _coldest = [];
    private readonly Dictionary<LocalDate, double> _loads = [];

    internal IEnumerable<BankDay> Days(IEnumerable<LocalDate> days, IReadOnlyDictionary<(KitId Bank, LocalDate Day), EnergySpread> forecasts)
    {
        Panels();
        Packs();
        Loads();
        foreach (LocalDate day in days)
        {
            bool hasPanels = _panels.ContainsKey(day);
            bool hasPacks = _packs.Any(meter => meter.Has(day));
            if (!hasPanels && !hasPacks && !_loads.ContainsKey(day) && !_lowest.ContainsKey(day) && !_coldest.ContainsKey(day))
            {
                continue;
            }

            yield return new BankDay(
                day,
                hasPanels ? new WattHours(_panels[day]) : null,
                hasPacks ? new WattHours(_packs.Sum(meter => meter.Plus(day))) : null,
                hasPacks ? new WattHours(_packs.Sum(meter => meter.Minus(day))) : null,
                _loads.TryGetValue(day, out double loads) ? new WattHours(loads) : null,
                _lowest.TryGetValue(day, out double lowest) ? new StateOfCharge(lowest) : null,
                _coldest.TryGetValue(day, out double coldest) ? new Celsius(coldest) : null,
                _heat.Has(day) ? new WattHours(_heat.Plus(day)) : null,
                _warm.Any(meter => meter.Has(day)) ? new WattHours(_warm.Sum(meter => meter.Plus(day))) : null,
                forecasts.GetValueOrDefault((bank.Bank.Id, day)),
                _covered.GetValueOrDefault(day));
        }
    }

    private static double? Power(BatteryReading body) => body.Volts is { } volts && body.Amperes is { } amperes ? volts.Value * amperes.Value : body.Watts?.Value;

    private void Panels()
    {
        foreach (Panel panel in bank.Panels)
        {
            var covered = new Dictionary<LocalDate, double>();
            (Instant Time, PanelReading Body)? before = null;
            foreach ((Instant Time, PanelReading Body) reading in readings.Panel(panel.Id).Where(reading => reading.Body.SunHours is null && (reading.Body.YieldTotal is not null || Power(reading.Body) is not null)))
            {
                if (before is { } last && Between(last, reading) is { } wattHours)
                {
                    LoadLearner.Spread(_panels, covered, last.Time, reading.Time, wattHours, kit.Zone);
                }

                before = reading;
            }

            foreach ((LocalDate day, double hours) in covered)
            {
                _covered[day] = Math.Max(_covered.GetValueOrDefault(day), hours);
            }
        }
    }

    private static double? Power(PanelReading body) => body.Watts?.Value ?? (body.Volts is { } volts && body.Amperes is { } amperes ? volts.Value * amperes.Value : null);

    // A counter that fell was reset and counts from zero.
    private static double? Between((Instant Time, PanelReading Body) a, (Instant Time, PanelReading Body) b)
    {
        Duration apart = b.Time - a.Time;
        if (a.Body.YieldTotal is { } first && b.Body.YieldTotal is { } second && apart <= Duration.FromHours(30))
        {
            return second.Value >= first.Value ? second.Value - first.Value : Math.Max(0, second.Value);
        }

        return Power(a.Body) is { } from && Power(b.Body) is { } to && apart <= DayMeter.Longest ? (from + to) / 2 * apart.TotalHours : null;
    }

    // The bank's own readings where there are any, else those of its packs: never both.
    private void Packs()
    {
        IEnumerable<KitId> subjects = readings.Battery(bank.Bank.Id).Any() ? [bank.Bank.Id] : bank.Packs.Select(pack => pack.Id);
        (Instant Time, double Value)[] air = kit.PlaceOf(bank.Bank.Team, kit.Today) is { } place
            ? [.. readings.Temperature(place.Id).Where(reading => reading.Body.Temperature.IsPhysical).Select(reading => (reading.Time, reading.Body.Temperature.Value))]
            : [];
        double? loss = bank.Box is { } box ? learnt.FirstOrDefault(one => one.Item == box.Id && one.Figure == LearntFigure.BoxLoss)?.Value ?? box.Loss.Value : null;
        double limit = bank.Limits.PublishedLower.Value;
        bool boxIsSeen = false;
        foreach (KitId subject in subjects)
        {
            var meter = new DayMeter(kit.Zone);
            _packs.Add(meter);
            var warm = new DayMeter(kit.Zone);
            _warm.Add(warm);
            bool probed = false;
            int at = 0;
            (Instant Time, double Value)? probe = null;
            foreach ((Instant time, BatteryReading body) in readings.Battery(subject))
            {
                Extremes(time, body);
                probe = body.ColdestProbe is { } told ? (time, told.Value) : probe is { } old && time - old.Time <= ProbeHolds ? old : null;
                while (at + 1 < air.Length && air[at + 1].Time <= time)
                {
                    at++;
                }

                double? outside = air.Length > 0 && Duration.FromHours(3) > time - air[at].Time && air[at].Time <= time ? air[at].Value : null;
                if (Power(body) is { } power)
                {
                    meter.See(time, power);
                    if (probe is { } cell && outside is { } air1)
                    {
                        warm.See(time, power > 0 && cell.Value >= limit && air1 < limit ? power : 0);
                    }
                }

                if (body.ColdestProbe is { } now && outside is { } cold && !boxIsSeen)
                {
                    probed = true;
                    _heat.See(time, loss is { } known ? known * Math.Max(0, now.Value - cold) : null);
                }
            }

            // One box: its heat counts once, by the first of its packs that has a probe.
            boxIsSeen |= probed;
        }
    }

    private void Extremes(Instant time, BatteryReading body)
    {
        LocalDate day = time.WithOffset(kit.Zone).Date;
        if (body.Charge is { Value: >= 0 and <= 1 } charge)
        {
            _lowest[day] = Math.Min(_lowest.GetValueOrDefault(day, 1), charge.Value);
        }

        if (body.ColdestProbe is { } probe)
        {
            _coldest[day] = Math.Min(_coldest.GetValueOrDefault(day, double.MaxValue), probe.Value);
        }
    }

    private void Loads()
    {
        foreach (Load load in bank.Loads)
        {
            (Instant Time, LoadReading Body)? before = null;
            foreach ((Instant Time, LoadReading Body) reading in readings.Load(load.Id))
            {
                if (before is { } last && LoadLearner.Between(last, reading) is { } wattHours)
                {
                    LoadLearner.Spread(_loads, [], last.Time, reading.Time, wattHours, kit.Zone);
                }

                before = reading;
            }
        }
    }
}
