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

/// <summary><c>kitmesh bench export</c>: a season's readings as tables, with time and memory.</summary>
internal sealed class ExportBench : ICommandFile
{
    private const int Agents = 12;
    private const int Batch = 1_000;

    // A battery's five values, a panel's three, a battery's five and a thermometer's one, in four reports.
    private const double ReadingsPerReport = 14 / 4.0;

    private readonly Option<int> _readings = OptionKit.Number("--readings", "Sensor values in the data folder that is made first.", 10_000, 100_000_000, 10_000_000);
    private readonly Option<int> _seed = OptionKit.Number("--seed", "Seed of the readings.", 1, int.MaxValue, 1);
    private readonly Option<string> _format = new("--format") { Description = "parquet or csv.", DefaultValueFactory = _ => "parquet" };
    private readonly Option<DirectoryInfo?> _folder = OptionKit.Folder("--folder", "Where the data folder and the tables go meanwhile. Default: a folder for temporary files.", required: false);

    public ExportBench() => _format.AcceptOnlyFromAmong("parquet", "csv");

    public Command Build(Surroundings surroundings) =>
        new Command("export", "Make a data folder of many readings and write it as tables: time and peak memory.") { _readings, _seed, _format, _folder }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        DirectoryInfo into = run.Get(_folder) is { } named ? named.CreateSubdirectory($"kitmesh-bench-{run.Surroundings.Ids():x16}") : Directory.CreateTempSubdirectory("kitmesh-bench-");
        try
        {
            DirectoryInfo made = into.CreateSubdirectory("data");
            long values = Make(run, Path.Combine(made.FullName, "journal"));
            GC.Collect();
            PeakMemory.Forget();
            long before = PeakMemory.Bytes();
            long began = run.Surroundings.Machine.GetTimestamp();
            TableExport export;
            using (DataFolder data = DataFolder.Open(run, made))
            {
                export = await ExportTablesCommand.WriteAsync(run, data, Path.Combine(into.FullName, "tables"), run.Get(_format) == "csv" ? TableFormat.Csv : TableFormat.Parquet);
            }

            double seconds = run.Surroundings.Machine.GetElapsedTime(began).TotalSeconds;
            run.Out.Json(new
            {
                bench = "export",
                format = run.Get(_format),
                seed = run.Get(_seed),
                values,
                readings = export.Readings,
                rollUps = export.RollUps,
                files = export.Files,
                seconds,
                peakBytes = PeakMemory.Bytes(),
                heldBeforeBytes = before,
                journalBytes = Size(made),
                tableBytes = Size(new DirectoryInfo(Path.Combine(into.FullName, "tables"))),
            });
        }
        finally
        {
            into.Delete(recursive: true);
        }

        return ExitCode.Good;
    }

    private long Make(CommandRun run, string folder)
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
            int each = (int)Math.Ceiling(run.Get(_readings) / ReadingsPerReport / Agents);
            for (int agent = 0; agent < Agents; agent++)
            {
                IngestLoad load = IngestLoad.Of(agent, each, run.Get(_seed));
                values += load.Readings;
                foreach (RawReport[] batch in load.Reports.Chunk(Batch))
                {
                    run.Stop.ThrowIfCancellationRequested();
                    if (journal.Append(batch, Instant.FromUtc(2027, 3, 30, 0, 0)) is not AppendResult.Durable)
                    {
                        throw CommandFault.BadInput($"The journal in {folder} cannot be written.", "Check the free space.");
                    }
                }
            }
        }

        return values;
    }

    private static long Size(DirectoryInfo folder) => folder.EnumerateFiles("*", SearchOption.AllDirectories).Sum(file => file.Length);
}
