using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;
using NodaTime;

namespace KitMesh.Outlook.Energy;

// Problem: where a bank stands now, from whatever was last measured or typed, and how far that can be off.
// Trap: a stated percentage from a cheap controller is a guess from volts; an old reading grows stale as loads run; a mean hides the coldest probe; a sensor that hangs or contradicts
// itself looks as fresh as a good one.
// Method: run the readings through the charge estimator (count current, correct with rested volts, take a stated charge for what it is worth), then widen by
// the energy that flowed unseen since. The coldest believable probe decides about charging; without one there is no temperature.

/// <summary>State of charge and cell temperature of a bank at the moment of the question.</summary>
internal sealed record StartState(
    double Charge, double ChargeSd, string From, Instant? MeasuredAt, Celsius? Coldest, Celsius? Warmest, Instant? WarmthAt)
{
    /// <summary>Capacity over the rated one where fade is sure; 1 otherwise.</summary>
    internal double CapacityFactor { get; private init; } = 1;

    /// <summary>Standard deviation of the cells' temperature: as a good probe tells it, with one of several probes lost, or not known at all.</summary>
    internal double CellSd => Coldest is null ? 6 : LostProbe ? 2 : 0.5;

    private bool LostProbe { get; init; }

    private static readonly Duration FreshTemperature = Duration.FromHours(3);
    private static readonly Duration BetweenCorrections = Duration.FromHours(6);
    private static readonly Duration BetweenRested = Duration.FromHours(1);
    private static readonly Duration LongestCount = Duration.FromHours(2);

    internal static StartState Of(BankKit kit, ReadingBook readings, Instant now, List<EnergyAssumption> assumptions)
    {
        IReadOnlyList<(Instant Time, BatteryReading Body)> all = readings.Battery(kit.Bank, kit.Packs);
        (Celsius? coldest, Celsius? warmest, Instant? at, bool lost) = Temperature(kit, all, readings, now, assumptions);
        IReadOnlyList<(Instant Time, BatteryReading Body)> series = HungSensors.Battery(kit, all, out IReadOnlyList<KitId> hung);
        foreach (KitId sensor in hung)
        {
            assumptions.Add(new EnergyAssumption(
                sensor, "nothing from its sensor since it began to repeat itself", "its volts, amperes and charge have been the same to the last digit for 18 hours or more while charge must have moved: look at the sensor", true));
        }

        if (series.Count == 0)
        {
            assumptions.Add(new EnergyAssumption(
                kit.Bank.Id, $"{kit.Bank.ArrivalCharge} as the trip file says", "the bank was never measured: read its rested volts with a meter and type them", true));
            return new StartState(Clamp01(kit.Bank.ArrivalCharge.Value), 0.15, "the trip file", null, coldest, warmest, at) { LostProbe = lost };
        }

        if (series.Any(reading => ReadingBook.Contradicts(reading.Body)))
        {
            assumptions.Add(new EnergyAssumption(
                kit.Bank.Id,
                "the current it shows with the difference as doubt, its stated charge at half its weight, and nothing from its volts under load",
                "volts times amperes and the stated watts disagree by more than 15 %: check the sensor",
                true));
        }

        (ChargeBelief belief, string from) = Estimate(kit, series);
        SayFaults(kit.Bank.Id, belief, assumptions);
        Instant last = series[^1].Time;
        double unseenHours = Math.Max(0, (now - last).TotalHours - 1);
        double unseen = unseenHours * kit.LoadMeanWatts / kit.CapacityWh;
        double doubt = unseenHours * Math.Max(kit.LoadMeanWatts, kit.PanelWatts / 6) / kit.CapacityWh;
        if (unseenHours > 6)
        {
            assumptions.Add(new EnergyAssumption(
                kit.Bank.Id,
                string.Create(CultureInfo.InvariantCulture, $"ordinary use since its last reading {unseenHours:0} h ago"),
                "nothing was heard of it since: ask for a reading",
                true));
        }

        // Without panels the charge only falls; with them the mean is left and the doubt grows both ways.
        double charge = Clamp01(belief.Charge.Value - (kit.PanelWatts > 0 ? 0 : unseen));
        double sd = Math.Min(0.3, Math.Sqrt((belief.ChargeSigma * belief.ChargeSigma) + (0.25 * doubt * doubt)));
        return new StartState(charge, Math.Max(0.02, sd), from, last, coldest, warmest, at) {
            CapacityFactor = belief.HasFaded ? belief.CapacityFactor : 1,
            LostProbe = lost,
        };
    }

    // What the readings told of the sensor and the cells, where it is surely not noise.
    private static void SayFaults(KitId bank, ChargeBelief belief, List<EnergyAssumption> assumptions)
    {
        void Say(FormattableString assumed, string because) => assumptions.Add(new EnergyAssumption(bank, FormattableString.Invariant(assumed), because, false));
        if (belief.HasFaded)
        {
            Say($"a capacity of {belief.CapacityFactor * 100:0} ± {belief.CapacitySigma * 100:0} % of the rated one", "the charge counted between rests moved its volts more than a pack of the rated capacity would: its cells have faded, or its current sensor shows too little");
        }

        if (belief.HasOffset)
        {
            Say($"a current sensor that shows {belief.CurrentOffset.Value:0.00} ± {belief.OffsetSigma.Value:0.00} A when nothing flows", "counted current drifts from what rested volts tell: the offset is taken off");
        }

        if (belief.HasGain)
        {
            Say($"a current sensor that shows {belief.CurrentGain * 100:0} ± {belief.GainSigma * 100:0} % of the current", "charge in and out differ from what rested volts tell: the counts are corrected by it");
        }
    }

    private static (ChargeBelief Belief, string From) Estimate(BankKit kit, IReadOnlyList<(Instant Time, BatteryReading Body)> series)
    {
        var estimator = new ChargeEstimator(kit.Model, kit.Bank.ArrivalCharge, 0.2, new Volts(0.01 * kit.Model.Pack.Series));
        string from = "the trip file";
        (Instant Time, BatteryReading Body)? previous = null;
        Instant? corrected = null;
        foreach ((Instant time, BatteryReading body) in series)
        {
            if (previous is { Body: { Amperes: { } amperes } } before)
            {
                Duration gap = time - before.Time;
                Amperes shown = kit.Whole(before.Body.Pack, amperes);
                if (gap <= LongestCount)
                {
                    estimator.Count(shown, gap);
                    estimator.Forget(TwoStories(kit, before.Body) * gap.TotalHours / kit.Model.Pack.Capacity.Value);
                }
                else
                {
                    estimator.Forget(gap.TotalHours * Math.Max(kit.LoadMeanWatts, kit.PanelWatts / 6) / kit.CapacityWh / 2);
                }
            }
            else if (previous is { } earlier)
            {
                estimator.Forget((time - earlier.Time).TotalHours * Math.Max(kit.LoadMeanWatts, kit.PanelWatts / 6) / kit.CapacityWh / 2);
            }

            // Errors of one meter and one table repeat from minute to minute: only a correction now and then tells something new.
            if (corrected is not { } at || time - at >= (body.Rested ? BetweenRested : BetweenCorrections))
            {
                string? taken = Take(kit, estimator, body);
                from = taken ?? from;
                corrected = taken is null ? corrected : time;
            }

            previous = (time, body);
        }

        return (estimator.Belief, from);
    }

    // How far the current from the stated watts lies off the one that is shown, for the whole bank, in A.
    private static double TwoStories(BankKit kit, BatteryReading body) =>
        ReadingBook.Contradicts(body) && body is { Volts: { Value: > 1 } volts, Amperes: { } amperes, Watts: { } watts }
            ? Math.Abs(kit.Whole(body.Pack, new Amperes((watts.Value / volts.Value) - amperes.Value)).Value)
            : 0;

    private static string? Take(BankKit kit, ChargeEstimator estimator, BatteryReading body)
    {
        string? from = null;
        bool doubtful = ReadingBook.Contradicts(body);
        if (body.Charge is { IsPossible: true } stated)
        {
            // A device that states a charge usually counts current; eight percent is what crews find, no published source.
            estimator.Told(stated, (body.Source == ReadingSource.Typed ? 0.10 : 0.08) * (doubtful ? Math.Sqrt(2) : 1));
            from = "the device's stated charge";
        }

        if (!doubtful && body.Volts is { Value: > 1 } volts && (body.Rested || body.Amperes is not null))
        {
            estimator.See(volts, kit.Whole(body.Pack, body.Amperes ?? default), body.ColdestProbe, body.Rested);
            from = body.Rested ? "rested volts" : from ?? "volts under load";
        }

        return from;
    }

    private static (Celsius? Coldest, Celsius? Warmest, Instant? At, bool Lost) Temperature(
        BankKit kit, IReadOnlyList<(Instant Time, BatteryReading Body)> series, ReadingBook readings, Instant now, List<EnergyAssumption> assumptions)
    {
        (Instant Time, Celsius Value)[] all = [.. Probes(kit, series, readings, out bool any, out bool hangs)];
        if (!any)
        {
            assumptions.Add(new EnergyAssumption(
                kit.Bank.Id, "the air's temperature and the heater's aim", "there is no thermometer on its cells: no advice to charge is given without one", true));
            return (null, null, null, false);
        }

        bool lives = all.Length > 0 && now - all[^1].Time <= FreshTemperature;
        if (hangs)
        {
            assumptions.Add(new EnergyAssumption(
                kit.Bank.Id, lives ? "what its other probes say" : "no temperature", "a thermometer has repeated itself to the last digit for 18 hours or more: look at the probe", true));
        }

        if (!lives && hangs)
        {
            return (null, null, null, true);
        }

        Instant newest = all[^1].Time;
        if (now - newest > FreshTemperature)
        {
            assumptions.Add(new EnergyAssumption(
                kit.Bank.Id, "no temperature", string.Create(CultureInfo.InvariantCulture, $"the last one is {(now - newest).TotalHours:0} h old"), true));
            return (null, null, null, hangs);
        }

        // Several packs report apart: the coldest of the last quarter of an hour counts.
        var recent = all.Where(probe => newest - probe.Time <= Duration.FromMinutes(15)).ToArray();
        return (new Celsius(recent.Min(p => p.Value.Value)), new Celsius(recent.Max(p => p.Value.Value)), newest, hangs);
    }

    // Every probe is a thermometer of its own: one that hangs must neither hide behind the others nor stand for them.
    private static IEnumerable<(Instant Time, Celsius Value)> Probes(
        BankKit kit, IReadOnlyList<(Instant Time, BatteryReading Body)> series, ReadingBook readings, out bool any, out bool hangs)
    {
        var all = new List<(Instant Time, Celsius Value)>();
        int seen = 0;
        foreach (IGrouping<(KitId Pack, int Probe), (Instant Time, Celsius Value)> probe in series
            .SelectMany(reading => reading.Body.Probes.Select((value, i) => (Key: (reading.Body.Pack, i), reading.Time, Value: value)))
            .Where(probe => probe.Value.IsPhysical)
            .GroupBy(probe => probe.Key, probe => (probe.Time, probe.Value)))
        {
            (Instant Time, Celsius Value)[] one = [.. probe];
            seen += one.Length;
            all.AddRange(one.Take(HungSensors.Believed(one, (a, b) => a == b)));
        }

        hangs = all.Count < seen;
        if (kit.Box is { } box)
        {
            (Instant Time, Celsius Value)[] inside = [.. readings.Temperature(box.Id).Where(r => r.Body.Temperature.IsPhysical).Select(r => (r.Time, r.Body.Temperature))];
            seen += inside.Length;
            all.AddRange(inside);
            hangs |= readings.Hangs(box.Id);
        }

        any = seen > 0;
        return all.OrderBy(probe => probe.Time);
    }

    private static double Clamp01(double value) => double.IsFinite(value) ? Math.Clamp(value, 0, 1) : 0.5;
}
