using CsCheck;
using KitMesh.Outlook.Energy;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>The path engine against a plain loop, and what must hold in every path.</summary>
public sealed class PathEngineTests
{
    private const int Paths = 64;

    private static readonly Gen<PathCase> Banks =
        from days in Gen.Int[1, 12]
        from perDay in Gen.Bool.Select(fine => fine ? 96 : 24)
        from capacity in Gen.Double[100, 3000]
        from start in Gen.Double[0, 1]
        from load in Gen.Double[0, 3]
        from panel in Gen.Double[0, 3]
        from cold in Gen.Double[-25, 10]
        from floor in Gen.Double[0, 0.01]
        select OutlookWorkload.StandardBank(days, perDay) with
        {
            CapacityWh = capacity,
            StartFraction = start,
            LoadScale = load,
            PanelScale = panel,
            AirShiftK = cold,
            FloorPerKelvin = floor,
        };

    [Fact]
    public void Run_SameSeed_GivesTheBitsOfThePlainLoop() =>
        Gen.Select(Banks, Gen.ULong).Sample(
            (bank, seed) =>
            {
                double[] lanes = PathEngine.Run(bank, seed, Paths, keepPaths: true).Trace!.EndFraction;
                double[] loop = PathLoop.Run(bank, seed, Paths);
                Assert.Equal(loop, lanes);
            },
            iter: 60);

    [Fact]
    public void Run_Twice_GivesTheSameCounts()
    {
        PathCase bank = OutlookWorkload.StandardBank(10, 24);

        PathDays first = PathEngine.Run(bank, 7, 800);
        PathDays second = PathEngine.Run(bank, 7, 800);

        Assert.Equal(first.FirstShortStep, second.FirstShortStep);
        Assert.Equal(first.AtEnd[^1].Quantile(0.5), second.AtEnd[^1].Quantile(0.5));
    }

    [Fact]
    public void Run_MorePaths_LeavesTheFirstOnesAsTheyWere()
    {
        PathCase bank = OutlookWorkload.StandardBank(3, 24);

        double[] few = PathEngine.Run(bank, 3, 16, keepPaths: true).Trace!.EndFraction;
        double[] many = PathEngine.Run(bank, 3, 160, keepPaths: true).Trace!.EndFraction;

        Assert.Equal(few[..16], many[..16]);
    }

    [Fact]
    public void Run_EveryPathAndDay_ClosesItsEnergyBalance() =>
        Gen.Select(Banks, Gen.ULong).Sample(
            (bank, seed) =>
            {
                PathTrace trace = PathEngine.Run(bank, seed, Paths, keepPaths: true).Trace!;
                for (int path = 0; path < Paths; path++)
                {
                    double stored = trace.StartFraction[path] * bank.CapacityWh;
                    for (int day = 0; day < bank.Steps.Days; day++)
                    {
                        int at = (day * Paths) + path;
                        double change = (trace.ChargedWh[at] * bank.ChargeEfficiency) - trace.DrawnWh[at];
                        double end = trace.EndFraction[at] * bank.CapacityWh;
                        Near(stored + change, end, bank.CapacityWh);

                        // At the bus: what came from panel and cells went to loads and heater.
                        double direct = trace.HarvestWh[at] - trace.ChargedWh[at];
                        Near(direct + (trace.DrawnWh[at] * bank.DischargeEfficiency), trace.LoadWh[at] + trace.HeaterWh[at], bank.CapacityWh);
                        Near(trace.PanelWh[at], trace.HarvestWh[at] + trace.WastedWh[at], bank.CapacityWh);
                        stored = end;
                    }
                }
            },
            iter: 40);

    [Fact]
    public void Run_AnyCold_NeverPassesTheZonesCurrent() =>
        Gen.Select(Banks, Gen.ULong).Sample(
            (bank, seed) =>
            {
                PathTrace trace = PathEngine.Run(bank, seed, Paths, keepPaths: true).Trace!;
                Assert.All(trace.WorstZoneExcessWatts, excess => Assert.True(excess <= 1e-9, $"{excess} W above the zone"));
                Assert.All(trace.EndFraction, end => Assert.InRange(end, -1e-9, 1 + 1e-9));
            },
            iter: 40);

    [Fact]
    public void Run_CellsBelowTheLowerLimit_TakeNoCharge()
    {
        PathCase frozen = OutlookWorkload.StandardBank(6, 24) with { HeaterWatts = 0, AirShiftK = -30, AirDoubtK = 0, StartCellC = -30, PanelScale = 3 };

        PathTrace trace = PathEngine.Run(frozen, 5, Paths, keepPaths: true).Trace!;

        Assert.All(trace.ChargedWh, charged => Assert.Equal(0, charged));
    }

    [Fact]
    public void Run_MoreSun_NeverRaisesTheChance() =>
        Gen.Select(Banks, Gen.ULong, Gen.Double[1, 2]).Sample(
            (bank, seed, more) =>
            {
                int less = Short(bank, seed);
                Assert.True(Short(bank with { PanelScale = bank.PanelScale * more }, seed) <= less);
            },
            iter: 60);

    [Fact]
    public void Run_BiggerPackEquallyFull_NeverRaisesTheShortage() =>
        Gen.Select(Banks, Gen.ULong, Gen.Double[1, 3]).Sample(
            (bank, seed, factor) =>
            {
                // Charge zones grow with the pack, as C-rates do. The reserve is the same share of more.
                PathCase bigger = bank with { CapacityWh = bank.CapacityWh * factor, ZoneWatts = [.. bank.ZoneWatts.Select(watts => watts * factor)] };
                Assert.True(Short(bigger with { ReserveFraction = bank.ReserveFraction / factor }, seed) <= Short(bank, seed) + 1);
            },
            iter: 60);

    private static int Short(PathCase bank, ulong seed) => PathEngine.Run(bank, seed, Paths).FirstShort.Sum();

    private static void Near(double expected, double actual, double scale) => Assert.True(Math.Abs(expected - actual) <= 1e-9 * Math.Max(1, scale), $"{expected} is not {actual}");
}
