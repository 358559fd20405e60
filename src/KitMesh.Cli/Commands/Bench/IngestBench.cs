using System.CommandLine;
using System.Globalization;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
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
    private readonly Option<bool> _plain = OptionKit.Switch("--plain", "Without TLS.");
    private readonly Option<bool> _compress = OptionKit.Switch("--compress", "Senders compress as agents do, which costs their processor and saves the wire.");

    public Command Build(Surroundings surroundings) =>
        new Command("ingest", "Measure durable reports a second, latency, processor time and bytes on disk.")
        {
            _agents, _reports, _batch, _rounds, _warm, _folder, _plain, _compress,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        string root = run.Get(_folder)?.FullName ?? Path.GetTempPath();
        var rounds = new List<IngestRound>();
        IngestSize size = SizeOf(run);
        for (int round = 0; round < run.Get(_rounds); round++)
        {
            string folder = Path.Combine(root, $"kitmesh-bench-{Environment.ProcessId}-{round}");
            Directory.CreateDirectory(folder);
            try
            {
                rounds.Add(await RoundAsync(run, size, folder));
                run.Talk.Say(string.Create(CultureInfo.InvariantCulture, $"Round {round + 1}: {rounds[^1].Durable:#,0} durable reports/s."));
            }
            finally
            {
                Directory.Delete(folder, recursive: true);
            }
        }

        Show(run, size, rounds);
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

    private async Task<IngestRound> RoundAsync(CommandRun run, IngestSize size, string folder)
    {
        // The loads are let go before the hub starts: a million small things would weigh on its collector and not on a real hub's.
        (double append, double insert) = IngestFloor.Measure(folder, Loads(run), run.Get(_batch), run.Surroundings.Machine);
        GC.Collect();
        string data = Path.Combine(folder, "hub");
        ThroughHub hub = await ThroughHubAsync(run, data);
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
            (long)(BytesIn(Path.Combine(data, "store")) * share));
    }

    private async Task<ThroughHub> ThroughHubAsync(CommandRun run, string data)
    {
        using X509Certificate2? certificate = run.Get(_plain) ? null : ThrowAwayCertificate.Make(run.Surroundings.World.GetCurrentInstant());
        var options = new HubOptions
        {
            Node = NodeId.Parse("bench-hub"),
            DataFolder = data,
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

    private static void Show(CommandRun run, IngestSize size, List<IngestRound> rounds)
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
        run.Out.Draw(table);
    }

    private static long BytesIn(string folder) => new DirectoryInfo(folder).EnumerateFiles("*", SearchOption.AllDirectories).Sum(file => file.Length);

    private static string Text(double value) => value.ToString("#,0", CultureInfo.InvariantCulture);

    private sealed record IngestSize(long Reports, long Readings, long Bytes);

    private sealed record ThroughHub(IngestSent Sent, double StoredSeconds, double CpuUntilDurable, double CpuUntilStored, long MemoryBytes, long Commits, int WarmReports);
}
