using System.CommandLine;
using System.Globalization;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using KitMesh.Storage;
using KitMesh.Storage.Postgres;
using NodaTime;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>
/// <c>kitmesh bench ingest</c>: durable reports a second through the real stream, beside what the bare disk and the bare
/// database do with the same bytes in the same run.
/// </summary>
internal sealed class IngestBench : ICommandFile
{
    /// <summary>The most senders.</summary>
    public const int MostAgents = 1_000;

    private const int WarmReports = 400_000;

    private readonly Option<int> _agents = OptionKit.Number("--agents", "Senders at once.", 1, MostAgents, 64);
    private readonly Option<int> _reports = OptionKit.Number("--reports", "Reports of each sender.", 1, 1_000_000, 16_000);
    private readonly Option<int> _batch = OptionKit.Number("--batch", "Reports in one frame.", 1, 4_096, 1_000);
    private readonly Option<int> _rounds = OptionKit.Number("--rounds", "Rounds; medians are shown.", 1, 101, 3);
    private readonly Option<int> _warm = OptionKit.Number("--warm", "Reports sent before each round and not measured, all senders together.", 0, 10_000_000, WarmReports);
    private readonly Option<DirectoryInfo?> _folder = OptionKit.Folder("--folder", "Where the measured files go, on the disk in question; emptied of them afterwards. A folder for temporary files when not given.", required: false);
    private readonly Option<string?> _store = OptionKit.Text("--store", "A PostgreSQL database that is measured beside the embedded store, each round: postgres://hub@/trip?host=/run/postgresql; schemas of its own are made there and dropped. Default: none.");
    private readonly Option<string?> _password = OptionKit.Text("--store-password-file", "A file whose first line is the database's password. Default: PGPASSWORD, or a pgpass file.");
    private readonly Option<bool> _plain = OptionKit.Switch("--plain", "Without TLS.");
    private readonly Option<bool> _compress = OptionKit.Switch("--compress", "Senders compress as agents do, which costs their processor and saves the wire.");

    public Command Build(Surroundings surroundings) =>
        new Command("ingest", "Measure durable reports a second, latency, processor time and bytes on disk.")
        {
            _agents, _reports, _batch, _rounds, _warm, _folder, _store, _password, _plain, _compress,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        string root = run.Get(_folder)?.FullName ?? Path.GetTempPath();
        PostgresAddress? database = StoreAddress.Of(run.Get(_store), run.Get(_password));
        var rounds = new List<IngestRound>();
        var besides = new List<IngestRound>();
        IngestSize size = SizeOf(run);
        for (int round = 0; round < run.Get(_rounds); round++)
        {
            string folder = Path.Combine(root, $"kitmesh-bench-{Environment.ProcessId}-{round}");
            Directory.CreateDirectory(folder);
            try
            {
                rounds.Add(await RoundAsync(run, size, folder, null));
                run.Talk.Say(string.Create(CultureInfo.InvariantCulture, $"Round {round + 1}: {rounds[^1].Durable:#,0} durable reports/s."));
                if (database is not null)
                {
                    besides.Add(await RoundAsync(run, size, Path.Combine(folder, "database"), database.WithSchema(string.Create(CultureInfo.InvariantCulture, $"bench_{Environment.ProcessId}_{round}"))));
                    run.Talk.Say(string.Create(CultureInfo.InvariantCulture, $"Round {round + 1} with the database: {besides[^1].Durable:#,0} durable reports/s, {besides[^1].Stored:#,0} stored."));
                }
            }
            catch (StoreFaultedException refused)
            {
                throw CommandFault.BadInput(refused.Message, inner: refused);
            }
            finally
            {
                Directory.Delete(folder, recursive: true);
            }
        }

        Show(run, size, rounds, besides);
        return ExitCode.Good;
    }

    private IngestLoad[] Loads(CommandRun run) => [.. Enumerable.Range(0, run.Get(_agents)).Select(agent => IngestLoad.Of(agent, run.Get(_reports), 1))];

    private IngestSize SizeOf(CommandRun run)
    {
        IngestLoad[] loads = Loads(run);
        return new IngestSize(
            loads.Sum(load => (long)load.Reports.Length),
            loads.Sum(load => load.Readings),
            loads.Sum(load => load.Reports.Sum(report => (long)report.Bytes.Length)));
    }

    private async Task<IngestRound> RoundAsync(CommandRun run, IngestSize size, string folder, PostgresAddress? database)
    {
        Directory.CreateDirectory(folder);
        PostgresStoreOptions? kept = database is null ? null : new PostgresStoreOptions { Address = database, Stamp = default, World = run.Surroundings.World, StatementTimeout = TimeSpan.FromMinutes(10) };
        try
        {
            double copy = kept is null ? 0 : await RawCopyInsert.RunAsync(kept, Loads(run).SelectMany(load => load.Reports.Chunk(run.Get(_batch))), run.Surroundings.Machine, run.Stop);
            return await RoundAsync(run, size, folder, kept, copy);
        }
        finally
        {
            if (kept is not null)
            {
                await RawCopyInsert.DropAsync(kept, CancellationToken.None);
            }
        }
    }

    private async Task<IngestRound> RoundAsync(CommandRun run, IngestSize size, string folder, PostgresStoreOptions? kept, double copy)
    {
        // The loads are let go before the hub starts: a million small things would weigh on its collector and not on a real hub's.
        (double append, double insert) = IngestFloor.Measure(folder, Loads(run), run.Get(_batch), run.Surroundings.Machine);
        GC.Collect();
        string data = Path.Combine(folder, "hub");
        ThroughHub hub = await ThroughHubAsync(run, data, kept?.Address);
        IngestFloor.SealAll(Path.Combine(data, "journal"));
        double share = size.Reports / (double)(size.Reports + hub.WarmReports);
        return new IngestRound(
            size.Reports / hub.Sent.Seconds,
            size.Reports / hub.StoredSeconds,
            size.Reports / append,
            size.Reports / insert,
            hub.Sent.AckP50Ms,
            hub.Sent.AckP99Ms,
            hub.CpuUntilDurable,
            hub.CpuUntilStored,
            hub.Sent.CpuSeconds,
            hub.Sent.WireBytes,
            hub.MemoryBytes,
            hub.Commits,
            (long)(BytesIn(Path.Combine(data, "journal")) * share),
            (long)((kept is null ? BytesIn(Path.Combine(data, "store")) : await RawCopyInsert.SizeAsync(kept, run.Stop)) * share))
        {
            RawCopy = copy > 0 ? size.Reports / copy : null,
        };
    }

    private async Task<ThroughHub> ThroughHubAsync(CommandRun run, string data, PostgresAddress? database)
    {
        using X509Certificate2? certificate = run.Get(_plain) ? null : ThrowAwayCertificate.Make(run.Surroundings.World.GetCurrentInstant());
        var options = new HubOptions
        {
            Node = NodeId.Parse("bench-hub"),
            DataFolder = data,
            Database = database,
            Listen = new Uri(certificate is null ? "http://127.0.0.1:0" : "https://127.0.0.1:0"),
            Certificate = certificate,
            MaxSessions = Math.Max(256, 2 * run.Get(_agents)),
        };
        TimeProvider machine = run.Surroundings.Machine;
        var clocks = new HubClocks(run.Surroundings.World, machine, run.Surroundings.Device);
        HubApplication hub = await HubApplication.StartAsync(options, clocks, null, run.Stop);
        await using (hub)
        {
            string? pin = certificate?.GetCertHashString(HashAlgorithmName.SHA256);
            int warm = run.Get(_warm);
            using IngestSenderProcess sender = await IngestSenderProcess.StartAsync(
                IngestSenderProcess.Words(hub.Address, pin, run.Get(_agents), run.Get(_reports), run.Get(_batch), warm, run.Get(_compress)), run.Stop);
            await hub.WhenCaughtUpAsync(run.Stop);
            GC.Collect();
            long commits = hub.JournalCommits;
            TimeSpan cpu = Environment.CpuUsage.TotalTime;
            IngestSent sent = await sender.SendAsync(run.Stop);
            long durable = machine.GetTimestamp();
            TimeSpan cpuDurable = Environment.CpuUsage.TotalTime;
            commits = hub.JournalCommits - commits;
            await hub.WhenCaughtUpAsync(run.Stop);
            return new ThroughHub(
                sent,
                sent.Seconds + machine.GetElapsedTime(durable).TotalSeconds,
                (cpuDurable - cpu).TotalSeconds,
                (Environment.CpuUsage.TotalTime - cpu).TotalSeconds,
                Environment.WorkingSet,
                commits,
                IngestSenderBench.WarmTotal(warm, run.Get(_agents)));
        }
    }

    private static void Show(CommandRun run, IngestSize size, List<IngestRound> rounds, List<IngestRound> besides)
    {
        double Median(Func<IngestRound, double> of) => rounds.Select(of).Order().ElementAt(rounds.Count / 2);
        double millions = size.Reports / 1e6;
        double bytes = Median(round => round.JournalBytes + round.StoreBytes);
        var shape = new
        {
            bench = "ingest",
            reports = size.Reports,
            readings = size.Readings,
            encodedBytesPerReport = size.Bytes / (double)size.Reports,
            durablePerSecond = Median(round => round.Durable),
            storedPerSecond = Median(round => round.Stored),
            rawAppendSyncPerSecond = Median(round => round.RawAppendSync),
            rawLiteDbPerSecond = Median(round => round.RawLiteDb),
            shareOfRawLiteDb = Median(round => round.Durable / round.RawLiteDb),
            ackP50Ms = Median(round => round.AckP50Ms),
            ackP99Ms = Median(round => round.AckP99Ms),
            hubCpuSecondsPerMillionDurable = Median(round => round.HubCpuUntilDurable) / millions,
            hubCpuSecondsPerMillionStored = Median(round => round.HubCpuUntilStored) / millions,
            senderCpuSecondsPerMillion = Median(round => round.SenderCpu) / millions,
            reportsPerCommit = size.Reports / Median(round => round.Commits),
            hubMemoryBytes = Median(round => round.HubMemoryBytes),
            wireBytesPerReport = Median(round => round.WireBytes) / size.Reports,
            wireBytesPerReading = Median(round => round.WireBytes) / size.Readings,
            diskBytesPerReport = bytes / size.Reports,
            diskBytesPerReading = bytes / size.Readings,
            journalBytesPerReport = Median(round => round.JournalBytes) / size.Reports,
            storeBytesPerReport = Median(round => round.StoreBytes) / size.Reports,
            rounds,
            database = besides.Count == 0 ? null : Database(size, besides),
        };
        if (run.Json)
        {
            run.Out.Json(shape);
            return;
        }

        Table table = DataOut.Table("what", ">value");
        table.AddRow("durable reports/s", Text(shape.durablePerSecond));
        table.AddRow("merged and stored reports/s", Text(shape.storedPerSecond));
        table.AddRow("raw append + fsync, reports/s", Text(shape.rawAppendSyncPerSecond));
        table.AddRow("raw LiteDB segments, not synced, reports/s", Text(shape.rawLiteDbPerSecond));
        table.AddRow("share of raw LiteDB", shape.shareOfRawLiteDb.ToString("0.00", CultureInfo.InvariantCulture));
        table.AddRow("ack, median and p99", string.Create(CultureInfo.InvariantCulture, $"{shape.ackP50Ms:0} and {shape.ackP99Ms:0} ms"));
        table.AddRow("hub, processor s per million until durable", shape.hubCpuSecondsPerMillionDurable.ToString("0.00", CultureInfo.InvariantCulture));
        table.AddRow("hub, processor s per million until stored", shape.hubCpuSecondsPerMillionStored.ToString("0.00", CultureInfo.InvariantCulture));
        table.AddRow("senders, processor s per million", shape.senderCpuSecondsPerMillion.ToString("0.00", CultureInfo.InvariantCulture));
        table.AddRow("bytes on the wire per report", Text(shape.wireBytesPerReport));
        table.AddRow("bytes on disk per report", Text(shape.diskBytesPerReport));
        table.AddRow("bytes on disk per reading", Text(shape.diskBytesPerReading));
        if (shape.database is { } database)
        {
            table.AddRow("with the database: durable reports/s", Text(database.DurablePerSecond));
            table.AddRow("with the database: merged and stored reports/s", Text(database.StoredPerSecond));
            table.AddRow("raw COPY without index, reports/s", Text(database.RawCopyPerSecond));
            table.AddRow("bytes in the database per reading", Text(database.StoreBytesPerReading));
        }

        run.Out.Draw(table);
    }

    private static IngestBeside Database(IngestSize size, List<IngestRound> rounds)
    {
        double Median(Func<IngestRound, double> of) => rounds.Select(of).Order().ElementAt(rounds.Count / 2);
        double millions = size.Reports / 1e6;
        return new IngestBeside(
            Median(round => round.Durable),
            Median(round => round.Stored),
            Median(round => round.RawCopy!.Value),
            Median(round => round.Stored / round.RawCopy!.Value),
            Median(round => round.AckP50Ms),
            Median(round => round.AckP99Ms),
            Median(round => round.HubCpuUntilDurable) / millions,
            Median(round => round.HubCpuUntilStored) / millions,
            Median(round => round.HubMemoryBytes),
            Median(round => round.StoreBytes) / size.Readings,
            rounds);
    }

    private static long BytesIn(string folder) => new DirectoryInfo(folder).EnumerateFiles("*", SearchOption.AllDirectories).Sum(file => file.Length);

    private static string Text(double value) => value.ToString("#,0", CultureInfo.InvariantCulture);

    private sealed record IngestSize(long Reports, long Readings, long Bytes);

    private sealed record ThroughHub(IngestSent Sent, double StoredSeconds, double CpuUntilDurable, double CpuUntilStored, long MemoryBytes, long Commits, int WarmReports);
}
