using System.CommandLine;
using System.Diagnostics;
using KitMesh.Cli.Frame;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.Footage.Risk;
using NodaTime;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Bench;

/// <summary><c>kitmesh bench ledger</c>: how long the footage ledger takes, and how that grows.</summary>
internal sealed class LedgerBench : ICommandFile
{
    private const int Queries = 21;

    /// <summary>Drives that all hang together: counted exactly up to 20.</summary>
    private static readonly int[] ManyDrives = [8, 20, 40];

    private readonly Option<int> _clips = OptionKit.Number("--clips", "Clips of the largest ledger; a tenth and a hundredth are measured before.", 1000, 10_000_000, 1_000_000);
    private readonly Option<int> _copies = OptionKit.Number("--copies", "Copies of each clip, one a drive.", 1, 8, 4);

    public Command Build(Surroundings surroundings) =>
        new Command("ledger", "Rebuild a ledger from reports, query it, and compute its risk.")
        {
            _clips, _copies,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        List<LedgerBenchResult> results = [];
        int[] sizes = [run.Get(_clips) / 100, run.Get(_clips) / 10, run.Get(_clips)];
        Measure(run, 1000, run.Get(_copies)); // Warm the code up; thrown away.
        await run.Talk.WithProgressAsync("ledger", progress =>
        {
            for (int i = 0; i < sizes.Length; i++)
            {
                run.Stop.ThrowIfCancellationRequested();
                results.Add(Measure(run, sizes[i], run.Get(_copies)));
                progress((i + 1.0) / sizes.Length);
            }

            return Task.CompletedTask;
        });

        ManyDrivesResult[] many = [.. ManyDrives.Select(drives => MeasureManyDrives(run, drives))];
        if (run.Json)
        {
            run.Out.Json(new { bench = "ledger", runs = results, manyDrives = many });
        }
        else
        {
            Draw(run, results);
            foreach (ManyDrivesResult result in many)
            {
                run.Out.Line($"{result.Drives} drives in one group: risk {(result.IsExact ? "exact" : "bounded")} in {result.RiskSeconds:0.00} s, next moves in {result.MoveSeconds:0.00} s");
            }
        }

        return ExitCode.Good;
    }

    private static LedgerBenchResult Measure(CommandRun run, int clips, int copies)
    {
        GC.Collect();
        TimeProvider machine = run.Surroundings.Machine;
        var world = new LedgerBenchWorld(clips, copies, copies);
        long start = machine.GetTimestamp();
        long reports = 0;
        foreach (TimedReport report in world.Reports())
        {
            reports += report.Report.Body.Kind == ReportKind.Unknown ? 0 : 1;
        }

        double makingSeconds = machine.GetElapsedTime(start).TotalSeconds;
        using var self = Process.GetCurrentProcess();
        TimeSpan cpuBefore = self.TotalProcessorTime;
        start = machine.GetTimestamp();
        FootageLedger ledger = FootageLedger.Of(world.Reports());
        double filingSeconds = machine.GetElapsedTime(start).TotalSeconds;
        LedgerSnapshot snapshot = ledger.Now(world.Now);
        double rebuildSeconds = machine.GetElapsedTime(start).TotalSeconds;
        self.Refresh();
        double cpuSeconds = (self.TotalProcessorTime - cpuBefore).TotalSeconds;
        (double median, double slowest) = Query(machine, snapshot, world);
        start = machine.GetTimestamp();
        LossParameters parameters = LossParameters.Published;
        LossRisk risk = FootageRisk.Of(new LossWorld(snapshot.Holdings(), world.Now + Duration.FromDays(10), parameters));
        double riskSeconds = machine.GetElapsedTime(start).TotalSeconds;
        self.Refresh();
        var result = new LedgerBenchResult(
            clips,
            (long)clips * copies,
            reports,
            makingSeconds,
            filingSeconds,
            rebuildSeconds - filingSeconds,
            rebuildSeconds,
            cpuSeconds,
            median * 1000,
            slowest * 1000,
            riskSeconds,
            risk.AnyLost.Best.Value,
            GC.GetTotalMemory(forceFullCollection: true) / (1024.0 * 1024),
            self.PeakWorkingSet64 / (1024.0 * 1024));
        GC.KeepAlive(ledger);
        return result;
    }

    private static ManyDrivesResult MeasureManyDrives(CommandRun run, int drives)
    {
        var world = new LedgerBenchWorld(26 * 6 * 10, 3, drives);
        Holdings holdings = FootageLedger.Of(world.Reports()).Now(world.Now).Holdings();
        Instant until = world.Now + Duration.FromDays(10);
        TimeProvider machine = run.Surroundings.Machine;
        long start = machine.GetTimestamp();
        LossRisk risk = FootageRisk.Of(new LossWorld(holdings, until, LossParameters.Published));
        double riskSeconds = machine.GetElapsedTime(start).TotalSeconds;
        start = machine.GetTimestamp();
        ValueList<FootageMove> moves = new FootageMoves(until, LossParameters.Published, MoveCosts.Cautious).Next(holdings);
        double moveSeconds = machine.GetElapsedTime(start).TotalSeconds;
        GC.KeepAlive(moves);
        return new ManyDrivesResult(drives, risk.AnyLostIsExact, risk.AnyLost.Low.Value, risk.AnyLost.Best.Value, riskSeconds, moveSeconds);
    }

    private static (double Median, double Slowest) Query(TimeProvider machine, LedgerSnapshot snapshot, LedgerBenchWorld world)
    {
        List<double> seconds = [];
        for (int i = 0; i < Queries; i++)
        {
            foreach (LedgerQuery query in world.Queries(i))
            {
                long start = machine.GetTimestamp();
                LedgerView view = snapshot.View(query);
                seconds.Add(machine.GetElapsedTime(start).TotalSeconds);
                GC.KeepAlive(view);
            }
        }

        seconds.Sort();
        return (seconds[seconds.Count / 2], seconds[^1]);
    }

    private static void Draw(CommandRun run, List<LedgerBenchResult> results)
    {
        Table table = DataOut.Table(">clips", ">copies", ">rebuild", ">of it judging", ">query, median", ">query, slowest", ">risk of all", ">ledger", ">peak of process");
        foreach (LedgerBenchResult result in results)
        {
            table.AddRow(
                $"{result.Clips:#,0}",
                $"{result.Copies:#,0}",
                $"{result.RebuildSeconds:0.00} s",
                $"{result.JudgingSeconds:0.00} s",
                $"{result.QueryMedianMs:0.0} ms",
                $"{result.QuerySlowestMs:0.0} ms",
                $"{result.RiskSeconds:0.00} s",
                $"{result.LedgerMebibytes:0} MiB",
                $"{result.PeakMebibytes:0} MiB");
        }

        run.Out.Draw(table);
    }
}
