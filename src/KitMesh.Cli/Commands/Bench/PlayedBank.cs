using KitMesh.Demo.Power;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>One bank's days of one played trip. Energies in Wh at the bank.</summary>
/// <param name="EndFraction">State of charge at the end of each day.</param>
/// <param name="LowestFraction">State of charge at its lowest moment.</param>
/// <param name="SunWh">What the panels gave.</param>
/// <param name="LoadWh">What the loads took.</param>
/// <param name="HeaterWh">What the heater took.</param>
/// <param name="FirstShort">The day, counted from 0, on which it first came down to where its crew stops work; null for never.</param>
internal sealed record PlayedBank(double[] EndFraction, double[] LowestFraction, double[] SunWh, double[] LoadWh, double[] HeaterWh, int? FirstShort)
{
    /// <summary>The demo's crew stops work so far above the reserve.</summary>
    internal const double CrewStops = 0.02;

    /// <summary>Share of the bank's energy that reaches a device in the demo's world.</summary>
    internal const double OutletShare = 0.9;

    private static readonly Duration Look = Duration.FromMinutes(5);

    /// <summary>Plays one bank's trip to its end.</summary>
    public static PlayedBank Of(EnergyWorld world, Bank bank)
    {
        int days = Period.DaysBetween(world.Scene.Trip.FirstDay, world.Scene.Trip.LastDay) + 1;
        var played = new PlayedBank(new double[days], new double[days], new double[days], new double[days], new double[days], null);
        int? first = null;
        for (int day = 0; day < days; day++)
        {
            Instant end = world.Scene.Start + Duration.FromDays(day + 1);
            (double sun, double load) before = Counters(world.At(bank.Id, end - Duration.FromDays(1)));
            double lowest = double.MaxValue;
            for (Instant at = end - Duration.FromDays(1) + Look; at <= end; at += Look)
            {
                BankTruth now = world.At(bank.Id, at);
                lowest = Math.Min(lowest, now.Charge);
                played.HeaterWh[day] += now.HeaterWatts * Look.TotalHours;
            }

            BankTruth truth = world.At(bank.Id, end);
            (double sun, double load) after = Counters(truth);
            (played.SunWh[day], played.LoadWh[day]) = (after.sun - before.sun, after.load - before.load);
            (played.EndFraction[day], played.LowestFraction[day]) = (truth.Charge, lowest);
            first ??= lowest <= bank.Reserve.Value + CrewStops ? day : null;
        }

        return played with { FirstShort = first };
    }

    private static (double Sun, double Load) Counters(BankTruth truth) =>
        (truth.Panels.Sum(panel => panel.YieldWattHours), truth.Loads.Sum(load => load.TotalWattHours) / OutletShare);
}
