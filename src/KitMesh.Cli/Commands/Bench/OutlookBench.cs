using System.CommandLine;
using System.Diagnostics;
using KitMesh.Cli.Frame;
using KitMesh.Models.Sun;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

// What is timed: 10,000 paths over 40 days in hourly steps, random numbers and all counts (quantiles of every day) included, on one thread.
// Beside it, in the same run: the same recurrence as a plain loop, and in numpy where a Python with numpy is installed (vectorised over the paths,
// numpy's own random numbers, quantiles of the same figures). Medians of several runs; processor time beside wall time, because other work on the
// machine lengthens the wall time alone.

/// <summary><c>kitmesh bench outlook</c>: how fast the energy outlook rolls its paths.</summary>
internal sealed class OutlookBench : ICommandFile
{
    private readonly Option<int> _paths = OptionKit.Number("--paths", "Paths; rounded up to a multiple of eight.", 8, 1_000_000, 10_000);
    private readonly Option<int> _days = OptionKit.Number("--days", "Days.", 1, 366, 40);
    private readonly Option<int> _runs = OptionKit.Number("--runs", "Timed runs; the median is told.", 1, 100, 7);
    private readonly Option<string?> _python = OptionKit.Text("--python", "A Python with numpy to compare with.", "/usr/bin/python3");

    public Command Build(Surroundings surroundings) =>
        new Command("outlook", "Time the path engine of the energy outlook against a plain loop and numpy.") { _paths, _days, _runs, _python }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        int paths = (run.Get(_paths) + 7) / 8 * 8;
        OutlookWorkload work = OutlookWorkload.Standard(paths, run.Get(_days));
        for (int i = 0; i < 6; i++)
        {
            work.Run(1);
        }

        long before = GC.GetAllocatedBytesForCurrentThread();
        work.Run(1);
        long allocated = GC.GetAllocatedBytesForCurrentThread() - before;
        (double wall, double cpu, double least) = Time(run, run.Get(_runs), () => work.Run(2));
        work.RunPlain(1);
        (double plain, double plainCpu, _) = Time(run, Math.Min(3, run.Get(_runs)), () => work.RunPlain(2));
        NumpyTiming? numpy = await NumpyOutlook.TimeAsync(run.Get(_python)!, paths, run.Get(_days), run.Stop);
        (double shortByEnd, double median) = work.Run(1);
        (double sunTableNs, double sunFullNs) = Sun(run);
        var answer = new
        {
            bench = "outlook",
            paths,
            days = run.Get(_days),
            stepsPerDay = 24,
            pathSteps = work.PathSteps,
            generator = OutlookWorkload.Generator,
            seed = 1,
            wallMs = wall,
            leastWallMs = least,
            cpuMs = cpu,
            nsPerPathStep = wall * 1e6 / work.PathSteps,
            pathsPerSecond = paths / wall * 1e3,
            allocatedBytesPerPathStep = allocated / (double)work.PathSteps,
            plainWallMs = plain,
            plainCpuMs = plainCpu,
            timesPlain = plainCpu / cpu,
            numpyWallMs = numpy?.WallMs,
            numpyCpuMs = numpy?.CpuMs,
            numpyVersion = numpy?.Version,
            timesNumpy = numpy?.CpuMs / cpu,
            sunTableNs,
            sunFullNs,
            shortByEnd,
            medianAtEnd = median,
            numpyMedianAtEnd = numpy?.MedianAtEnd,
        };
        if (run.Json)
        {
            run.Out.Json(answer);
        }
        else
        {
            run.Out.Line(FormattableString.Invariant($"lanes  {wall:0.0} ms wall, {cpu:0.0} ms processor, {answer.nsPerPathStep:0.00} ns a path-step, {answer.pathsPerSecond:0} paths/s"));
            run.Out.Line(FormattableString.Invariant($"plain  {plain:0.0} ms wall, {plainCpu:0.0} ms processor: {answer.timesPlain:0.0} times the lanes"));
            run.Out.Line(FormattableString.Invariant($"sun    {sunTableNs:0} ns a position from the table of a site, {sunFullNs:0} ns by the full algorithm"));
            run.Out.Line(numpy is null
                ? $"numpy  not found by {run.Get(_python)}"
                : FormattableString.Invariant($"numpy  {numpy.WallMs:0.0} ms wall, {numpy.CpuMs:0.0} ms processor: {answer.timesNumpy:0.0} times the lanes"));
        }

        return ExitCode.Good;
    }

    // The sun's position at one site through forty days, from its table and from the full algorithm.
    private static (double TableNs, double FullNs) Sun(CommandRun run)
    {
        Instant from = Instant.FromUtc(2027, 2, 1, 0, 0);
        var site = new SunSite(new(42), new(77.7), new(4_000), new(616), new(-15));
        var table = new SunTable(site, from, from + Duration.FromDays(40));
        const int Table = 200_000;
        const int Full = 2_000;
        double sum = 0;
        (double tableMs, _, _) = Time(run, 5, () =>
        {
            for (int i = 0; i < Table; i++)
            {
                sum += table.At(from + Duration.FromSeconds(17L * i)).Azimuth.Value;
            }
        });
        (double fullMs, _, _) = Time(run, 3, () =>
        {
            for (int i = 0; i < Full; i++)
            {
                sum += SolarPosition.At(from + Duration.FromSeconds(1_700L * i), site).Azimuth.Value;
            }
        });
        return sum > 0 ? (tableMs * 1e6 / Table, fullMs * 1e6 / Full) : (double.NaN, double.NaN);
    }

    private static (double WallMs, double CpuMs, double LeastMs) Time(CommandRun run, int times, Action work)
    {
        TimeProvider machine = run.Surroundings.Machine;
        using var self = Process.GetCurrentProcess();
        var wall = new List<double>();
        var cpu = new List<double>();
        for (int i = 0; i < times; i++)
        {
            run.Stop.ThrowIfCancellationRequested();
            self.Refresh();
            TimeSpan cpuBefore = self.TotalProcessorTime;
            long start = machine.GetTimestamp();
            work();
            wall.Add(machine.GetElapsedTime(start).TotalMilliseconds);
            self.Refresh();
            cpu.Add((self.TotalProcessorTime - cpuBefore).TotalMilliseconds);
        }

        wall.Sort();
        cpu.Sort();
        return (wall[wall.Count / 2], cpu[cpu.Count / 2], wall[0]);
    }
}
