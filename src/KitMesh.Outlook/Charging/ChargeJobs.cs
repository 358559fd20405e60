using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Outlook.Charging;

/// <summary>Turns devices and their readings into jobs, or says why one is left out.</summary>
internal static class ChargeJobs
{
    /// <summary>How long a small battery warms inside clothing or a warm tent before it may charge. Common practice, no published source.</summary>
    private const double WarmHours = 1;

    private const double DeepColdC = -15;

    internal static (List<ChargeJob> Jobs, List<LeftOut> Left) Of(BankKit bank, ReadingBook readings, Instant now, double hours, List<EnergyAssumption> assumptions)
    {
        var jobs = new List<ChargeJob>();
        var left = new List<LeftOut>();
        foreach (Load load in bank.Loads)
        {
            if (load.Battery is not { Value: > 0 } battery || load.Charger is not { Value: > 0 } charger)
            {
                left.Add(new LeftOut(load.Id, LeftOutReason.NotNeeded, new(0), $"{load.Id} has no battery of its own to charge"));
                continue;
            }

            LoadReading? last = readings.Load(load.Id).Select(reading => reading.Body).LastOrDefault(body => body.Charge is not null || body.Temperature is not null || body.Activity != ChargeActivity.Unknown);
            double? charge = last is { Activity: ChargeActivity.Full } ? 1 : last?.Charge is { IsPossible: true } stated ? stated.Value : null;
            double need = charge is { } c ? (1 - c) * battery.Value : Math.Min(battery.Value, load.PerDay.Value);
            if (charge is null)
            {
                assumptions.Add(new EnergyAssumption(
                    load.Id, FormattableString.Invariant($"that it lacks a day's use, {need:0} Wh"), "its state of charge was never read: read it and type it", true));
            }

            if (need < 0.02 * battery.Value)
            {
                left.Add(new LeftOut(load.Id, LeftOutReason.NotNeeded, new(0), $"{load.Id} is full"));
                continue;
            }

            (double ready, string? reason, LeftOut? skip) = Warmth(load, last?.Temperature, need, hours);
            if (skip is not null)
            {
                left.Add(skip);
                continue;
            }

            jobs.Add(new ChargeJob(load, need, Weight(load), ready, charger.Value, charge, reason));
        }

        return (jobs, left);
    }

    // A class is worth a hundred times the next, so that no comfort outweighs work; inside a class each step of priority is worth a tenth less.
    internal static double Weight(Load load)
    {
        double kind = load.Class switch { LoadClass.LifeSafety => 10_000, LoadClass.Work => 100, _ => 1 };
        return kind * Math.Pow(0.9, Math.Clamp(load.Priority - 1, 0, 30));
    }

    private static (double Ready, string? Reason, LeftOut? Left) Warmth(Load load, Celsius? temperature, double need, double hours)
    {
        ChargeLimits limits = ChargeLimits.For(load.Chemistry);
        if (temperature is not { IsPhysical: true } cell)
        {
            return hours > WarmHours
                ? (WarmHours, "nobody knows how cold its battery is", null)
                : (0, null, new LeftOut(load.Id, LeftOutReason.NoTemperature, new(need), $"{load.Id}: nothing is known of its battery's temperature and there is no time to warm it; measure, then charge"));
        }

        if (cell > limits.Upper)
        {
            return (0, null, new LeftOut(load.Id, LeftOutReason.TooHot, new(need), FormattableString.Invariant($"{load.Id} is {cell.Value:0} °C, no charge above {limits.Upper.Value:0} °C")));
        }

        if (cell >= limits.Lower)
        {
            return (0, null, null);
        }

        double warm = cell.Value < DeepColdC ? 2 * WarmHours : WarmHours;
        return hours > warm
            ? (warm, FormattableString.Invariant($"its battery is {cell.Value:0} °C, no charge below {limits.Lower.Value:0} °C"), null)
            : (0, null, new LeftOut(
                load.Id, LeftOutReason.TooCold, new(need), FormattableString.Invariant($"{load.Id} is {cell.Value:0} °C and does not get warm before the deadline; no charge below {limits.Lower.Value:0} °C")));
    }
}
