using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Bench;

/// <summary><c>kitmesh bench commit</c>: what group commit gains, with producers that each wait for every report.</summary>
internal sealed class CommitBench : ICommandFile
{
    private readonly Option<int> _producers = OptionKit.Number("--producers", "Producers at once; measured against one.", 2, 4_096, 64);
    private readonly Option<double> _seconds = OptionKit.Number("--seconds", "How long each of the two measurements takes, in seconds.", 0.1, 600, 5);
    private readonly Option<DirectoryInfo?> _folder = OptionKit.Folder("--folder", "Where the measured files go, on the disk in question; emptied of them afterwards. A folder for temporary files when not given.", required: false);

    public Command Build(Surroundings surroundings) =>
        new Command("commit", "Measure what one sync for many reports gains.")
        {
            _producers, _seconds, _folder,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        string root = Path.Combine(run.Get(_folder)?.FullName ?? Path.GetTempPath(), $"kitmesh-bench-{Environment.ProcessId}");
        Directory.CreateDirectory(root);
        try
        {
            await MeasureAsync(run, Path.Combine(root, "warm"), run.Get(_producers), Math.Min(1, run.Get(_seconds)));
            Speed alone = await MeasureAsync(run, Path.Combine(root, "alone"), 1, run.Get(_seconds));
            Speed together = await MeasureAsync(run, Path.Combine(root, "together"), run.Get(_producers), run.Get(_seconds));
            Show(run, alone, together);
        }
        finally
        {
            Directory.Delete(root, recursive: true);
        }

        return ExitCode.Good;
    }

    private static async Task<Speed> MeasureAsync(CommandRun run, string folder, int producers, double seconds)
    {
        TimeProvider machine = run.Surroundings.Machine;
        var options = new JournalOptions { Folder = folder, Node = NodeId.Parse("bench-hub") };
        if (Journal.Open(new PhysicalDisk(), options, 1, 2) is not JournalOpening.Opened { Journal: { } journal })
        {
            throw CommandFault.BadInput($"No journal can be opened in {folder}.");
        }

        await using var writer = new JournalWriter(journal, options, machine, run.Surroundings.World);
        long start = machine.GetTimestamp();
        long[] counts = await Task.WhenAll(Enumerable.Range(0, producers).Select(producer => Task.Run(() => ProduceAsync(writer, producer, machine, start, seconds, run.Stop))));
        double took = machine.GetElapsedTime(start).TotalSeconds;
        return new Speed(producers, counts.Sum() / took, writer.Commits / took);
    }

    private static async Task<long> ProduceAsync(JournalWriter writer, int producer, TimeProvider machine, long start, double seconds, CancellationToken stop)
    {
        IngestLoad load = IngestLoad.Of(producer, 1_000, 1);
        long sequence = 0;
        while (machine.GetElapsedTime(start).TotalSeconds < seconds)
        {
            var report = new RawReport(new ReportKey(load.Origin, (ulong)++sequence), load.Reports[sequence % load.Reports.Length].Bytes);
            if (await writer.AppendAsync([report], stop).ConfigureAwait(false) is not AppendResult.Durable)
            {
                throw CommandFault.BadInput("The journal could not be written.");
            }
        }

        return sequence;
    }

    private static void Show(CommandRun run, Speed alone, Speed together)
    {
        double gain = together.ReportsPerSecond / alone.ReportsPerSecond;
        if (run.Json)
        {
            run.Out.Json(new { bench = "commit", alone, together, gain });
            return;
        }

        Table table = DataOut.Table(">producers", ">durable reports/s", ">commits/s");
        foreach (Speed speed in new[] { alone, together })
        {
            table.AddRow(
                speed.Producers.ToString(CultureInfo.InvariantCulture),
                speed.ReportsPerSecond.ToString("#,0", CultureInfo.InvariantCulture),
                speed.CommitsPerSecond.ToString("#,0", CultureInfo.InvariantCulture));
        }

        run.Out.Draw(table);
        run.Out.Line(string.Create(CultureInfo.InvariantCulture, $"Group commit: {gain:0.0} times."));
    }

    private sealed record Speed(int Producers, double ReportsPerSecond, double CommitsPerSecond);
}
