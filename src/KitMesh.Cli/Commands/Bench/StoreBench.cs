using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Disk;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Storage.LiteDb;
using KitMesh.Storage.Postgres;
using NodaTime;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>
/// <c>kitmesh bench store</c>: the same readings into the embedded store and into a database, without a hub: rate, size, memory,
/// and how long questions take.
/// </summary>
internal sealed class StoreBench : ICommandFile
{
    private readonly Option<long> _readings = OptionKit.Number("--readings", "Sensor values, all agents together.", 10_000L, 1_000_000_000L, 1_000_000L);
    private readonly Option<int> _agents = OptionKit.Number("--agents", "Agents whose reports take turns.", 1, IngestBench.MostAgents, 64);
    private readonly Option<int> _batch = OptionKit.Number("--batch", "Reports in one write.", 100, StoreLimits.MaxBatch, 16_384);
    private readonly Option<string?> _store = OptionKit.Text("--store", "The database, such as postgres://hub@/trip?host=/run/postgresql; a schema of its own is made there and dropped. Default: only the embedded store is measured.");
    private readonly Option<string?> _password = OptionKit.Text("--store-password-file", "A file whose first line is the database's password. Default: PGPASSWORD, or a pgpass file.");
    private readonly Option<bool> _only = OptionKit.Switch("--only-database", "Leave the embedded store out.");
    private readonly Option<DirectoryInfo?> _folder = OptionKit.Folder("--folder", "Where the embedded store's files go; emptied of them afterwards. A folder for temporary files when not given.", required: false);

    public Command Build(Surroundings surroundings) =>
        new Command("store", "Measure the embedded store and a database with the same readings: rate, size, memory, questions.")
        {
            _readings, _agents, _batch, _store, _password, _only, _folder,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        PostgresAddress? address = StoreAddress.Of(run.Get(_store), run.Get(_password));
        if (run.Get(_only) && address is null)
        {
            throw CommandFault.BadInput("--only-database is given, and no database.", "Name one with --store.");
        }

        var load = new StoreLoad(run.Get(_agents), run.Get(_readings), run.Get(_batch));
        var results = new List<StoreBenchResult>();
        if (!run.Get(_only))
        {
            results.Add(await EmbeddedAsync(run, load));
        }

        if (address is not null)
        {
            try
            {
                results.Add(await DatabaseAsync(run, load, address));
            }
            catch (StoreFaultedException refused)
            {
                throw CommandFault.BadInput(refused.Message, inner: refused);
            }
        }

        Show(run, load, results);
        return ExitCode.Good;
    }

    private async Task<StoreBenchResult> EmbeddedAsync(CommandRun run, StoreLoad load)
    {
        string folder = Path.Combine(run.Get(_folder)?.FullName ?? Path.GetTempPath(), $"kitmesh-bench-{Environment.ProcessId}");
        Directory.CreateDirectory(folder);
        try
        {
            TimeProvider machine = run.Surroundings.Machine;
            IReadOnlyList<Domain.Reports.RawReport>[] floorRuns = [.. load.RawRuns().Take(StoreLoad.FloorRuns)];
            long start = machine.GetTimestamp();
            RawSegmentInsert.Run(Path.Combine(folder, "raw.db"), floorRuns);
            double floor = machine.GetElapsedTime(start).TotalSeconds;
            File.Delete(Path.Combine(folder, "raw.db"));
            var options = new LiteDbStoreOptions { Folder = Path.Combine(folder, "store"), Stamp = new StoreStamp(1, 1) };
            StoreBenchResult result;
            await using (IReportStore store = await LiteDbReportStore.OpenAsync(new PhysicalDisk(), options, ReportCodec.Decode))
            {
                result = await new StoreTrial(store, load, machine, words => run.Talk.Say(words)).RunAsync("LiteDB", () => Task.CompletedTask, run.Stop);
            }

            return result with
            {
                RawPerSecond = load.FloorReports / floor,
                DiskBytes = new DirectoryInfo(options.Folder).EnumerateFiles().Sum(file => file.Length),
            };
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static async Task<StoreBenchResult> DatabaseAsync(CommandRun run, StoreLoad load, PostgresAddress address)
    {
        var options = new PostgresStoreOptions
        {
            Address = address.WithSchema(string.Create(CultureInfo.InvariantCulture, $"bench_{Environment.ProcessId}")),
            Stamp = new StoreStamp(1, 1),
            World = new WalkClock(),
            StatementTimeout = TimeSpan.FromMinutes(30),
        };
        TimeProvider machine = run.Surroundings.Machine;
        try
        {
            double floor = await RawCopyInsert.RunAsync(options, load.RawRuns().Take(StoreLoad.FloorRuns), machine, run.Stop);
            await using IReportStore store = await PostgresReportStore.OpenAsync(options, ReportCodec.Decode, run.Stop);
            StoreBenchResult result = await new StoreTrial(store, load, machine, words => run.Talk.Say(words))
                .RunAsync("PostgreSQL", () => RawCopyInsert.AnalyzeAsync(options, run.Stop), run.Stop);
            return result with { RawPerSecond = load.FloorReports / floor, DiskBytes = await RawCopyInsert.SizeAsync(options, run.Stop) };
        }
        finally
        {
            await RawCopyInsert.DropAsync(options, CancellationToken.None);
        }
    }

    private static void Show(CommandRun run, StoreLoad load, List<StoreBenchResult> results)
    {
        if (run.Json)
        {
            run.Out.Json(new
            {
                bench = "store",
                reports = load.Reports,
                readings = load.Readings,
                agents = load.Agents,
                stores = results.Select(result => new
                {
                    store = result.Store,
                    reportsPerSecond = result.ReportsPerSecond,
                    readingsPerSecond = result.ReportsPerSecond * load.Readings / load.Reports,
                    rawReportsPerSecond = result.RawPerSecond,
                    shareOfRaw = result.ReportsPerSecond / result.RawPerSecond,
                    slowestWriteMs = result.SlowestWriteMs,
                    processorSecondsPerMillion = result.ProcessorSeconds / (load.Reports / 1e6),
                    memoryBytes = result.MemoryBytes,
                    diskBytes = result.DiskBytes,
                    diskBytesPerReading = result.DiskBytes / (double)load.Readings,
                    questionsMs = result.QuestionsMs,
                }),
            });
            return;
        }

        Table table = DataOut.Table(["what", .. results.Select(result => $">{result.Store}")]);
        void Row(string what, Func<StoreBenchResult, double> of, string format) => table.AddRow([what, .. results.Select(result => of(result).ToString(format, CultureInfo.InvariantCulture))]);
        Row("reports/s", result => result.ReportsPerSecond, "#,0");
        Row("raw insert, reports/s", result => result.RawPerSecond, "#,0");
        Row("slowest write, ms", result => result.SlowestWriteMs, "#,0");
        Row("bytes on disk per reading", result => result.DiskBytes / (double)load.Readings, "0.0");
        Row("memory of this process, MB", result => result.MemoryBytes / 1e6, "0");
        foreach (string question in results[0].QuestionsMs.Keys)
        {
            Row($"{question}, ms", result => result.QuestionsMs[question], "0.0");
        }

        run.Out.Draw(table);
    }

    /// <summary>World time of the readings, so that their weeks have partitions.</summary>
    private sealed class WalkClock : IClock
    {
        public Instant GetCurrentInstant() => Instant.FromUtc(2027, 3, 1, 0, 0);
    }
}
