using System.CommandLine;
using KitMesh.Cli.Commands.Export;
using KitMesh.Cli.Commands.Offloading;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Export.Tables;
using KitMesh.Sync.Journal;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary><c>kitmesh bench export</c>: a season's readings as tables, with time and memory at two sizes.</summary>
internal sealed class ExportBench : ICommandFile
{
    private const int Agents = 12;
    private const int Batch = 1_000;

    /// <summary>The first of two exports has a fifth of the values: their peaks tell whether memory grows with the size.</summary>
    private const int Smaller = 5;

    // A battery's five values, a panel's three, a battery's five and a thermometer's one, in four reports.
    private const double ReadingsPerReport = 14 / 4.0;

    private readonly Option<int> _readings = OptionKit.Number("--readings", "Sensor values in the larger of the two data folders that are made.", 10_000, 100_000_000, 10_000_000);
    private readonly Option<int> _seed = OptionKit.Number("--seed", "Seed of the readings.", 1, int.MaxValue, 1);
    private readonly Option<string> _format = new("--format") { Description = "parquet or csv.", DefaultValueFactory = _ => "parquet" };
    private readonly Option<DirectoryInfo?> _folder = OptionKit.Folder("--folder", "Where the data folder and the tables go meanwhile. Default: a folder for temporary files.", required: false);

    public ExportBench() => _format.AcceptOnlyFromAmong("parquet", "csv");

    public Command Build(Surroundings surroundings) =>
        new Command("export", "Make a data folder of many readings and write it as tables, after one of a fifth the size: time and peak memory of both.") { _readings, _seed, _format, _folder }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        long most = run.Get(_readings);
        object small = await OneAsync(run, most / Smaller);
        object large = await OneAsync(run, most);
        run.Out.Json(new { bench = "export", format = run.Get(_format), seed = run.Get(_seed), small, large });
        return ExitCode.Good;
    }

    private async Task<object> OneAsync(CommandRun run, long wanted)
    {
        DirectoryInfo into = run.Get(_folder) is { } named ? named.CreateSubdirectory($"kitmesh-bench-{run.Surroundings.Ids():x16}") : Directory.CreateTempSubdirectory("kitmesh-bench-");
        try
        {
            DirectoryInfo made = into.CreateSubdirectory("data");
            var tables = new DirectoryInfo(Path.Combine(into.FullName, "tables"));
            long values = Make(run, Path.Combine(made.FullName, "journal"), wanted);
            GC.Collect();
            PeakMemory.Forget();
            long before = PeakMemory.Bytes();
            TimeSpan worked = Environment.CpuUsage.TotalTime;
            long began = run.Surroundings.Machine.GetTimestamp();
            (long readings, long rollUps, int files) written;
            using (DataFolder data = DataFolder.Open(run, made))
            {
                await using TableExport export = await ExportTablesCommand.WriteAsync(run, data, tables.FullName, run.Get(_format) == "csv" ? TableFormat.Csv : TableFormat.Parquet);
                written = (export.Readings, export.RollUps, export.Files);
            }

            return new
            {
                values,
                written.readings,
                written.rollUps,
                written.files,
                seconds = run.Surroundings.Machine.GetElapsedTime(began).TotalSeconds,
                processorSeconds = (Environment.CpuUsage.TotalTime - worked).TotalSeconds,
                peakBytes = PeakMemory.Bytes(),
                heldBeforeBytes = before,
                journalBytes = Size(made),
                tableBytes = Size(tables),
            };
        }
        finally
        {
            into.Delete(recursive: true);
        }
    }

    private long Make(CommandRun run, string folder, long wanted)
    {
        Directory.CreateDirectory(folder);
        var options = new JournalOptions { Folder = folder, Node = NodeId.Parse("bench"), DropAcknowledged = false };
        if (Journal.Open(new PhysicalDisk(), options, run.Surroundings.Ids(), run.Surroundings.Ids()) is not JournalOpening.Opened { Journal: { } journal })
        {
            throw CommandFault.BadInput($"No journal can be made in {folder}.");
        }

        long values = 0;
        using (journal)
        {
            int each = (int)Math.Ceiling(wanted / ReadingsPerReport / Agents);
            for (int agent = 0; agent < Agents; agent++)
            {
                var walk = new IngestWalk(agent, run.Get(_seed), "");
                for (int written = 0; written < each; written += Batch)
                {
                    run.Stop.ThrowIfCancellationRequested();
                    if (journal.Append(walk.Take(Math.Min(Batch, each - written)), Instant.FromUtc(2027, 3, 30, 0, 0)) is not AppendResult.Durable)
                    {
                        throw CommandFault.BadInput($"The journal in {folder} cannot be written.", "Check the free space.");
                    }
                }

                values += walk.Readings;
            }
        }

        return values;
    }

    private static long Size(DirectoryInfo folder) => folder.EnumerateFiles("*", SearchOption.AllDirectories).Sum(file => file.Length);
}
