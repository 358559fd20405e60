using System.CommandLine;
using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text.Json;
using KitMesh.Cli.Frame;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using KitMesh.Storage.LiteDb;
using KitMesh.Sync.Journal;
using NodaTime;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>
/// <c>kitmesh bench ingest</c>: durable reports a second through the real stream, beside what the bare disk and the bare
/// database do with the same bytes in the same run.
/// </summary>
internal sealed class IngestBench : ICommandFile
{
    private readonly Option<int> _agents = OptionKit.Number("--agents", "Senders at once.", 1, 256, 64);
    private readonly Option<int> _reports = OptionKit.Number("--reports", "Reports of each sender.", 1, 1_000_000, 4_000);
    private readonly Option<int> _batch = OptionKit.Number("--batch", "Reports in one frame.", 1, 4_096, 1_000);
    private readonly Option<int> _rounds = OptionKit.Number("--rounds", "Rounds; medians are shown.", 1, 101, 3);
    private readonly Option<DirectoryInfo?> _folder = OptionKit.Folder("--folder", "Where the measured files go, on the disk in question; emptied of them afterwards. A folder for temporary files when not given.", required: false);
    private readonly Option<bool> _plain = OptionKit.Switch("--plain", "Without TLS.");

    public Command Build(Surroundings surroundings) =>
        new Command("ingest", "Measure durable reports a second, latency and bytes on disk.")
        {
            _agents, _reports, _batch, _rounds, _folder, _plain,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        string root = run.Get(_folder)?.FullName ?? Path.GetTempPath();
        IngestLoad[] loads = [.. Enumerable.Range(0, run.Get(_agents)).Select(agent => IngestLoad.Of(agent, run.Get(_reports), 1))];
        var rounds = new List<IngestRound>();
        for (int round = 0; round < run.Get(_rounds); round++)
        {
            string folder = Path.Combine(root, $"kitmesh-bench-{Environment.ProcessId}-{round}");
            Directory.CreateDirectory(folder);
            try
            {
                rounds.Add(await RoundAsync(run, loads, folder));
                run.Talk.Say(string.Create(CultureInfo.InvariantCulture, $"Round {round + 1}: {rounds[^1].Durable:#,0} durable reports/s."));
            }
            finally
            {
                Directory.Delete(folder, recursive: true);
            }
        }

        Show(run, loads, rounds);
        return ExitCode.Good;
    }

    private async Task<IngestRound> RoundAsync(CommandRun run, IngestLoad[] loads, string folder)
    {
        long reports = loads.Sum(load => (long)load.Reports.Length);
        IReadOnlyList<RawReport>[] batches = [.. loads.SelectMany(load => load.Reports.Chunk(run.Get(_batch)))];
        TimeProvider machine = run.Surroundings.Machine;
        double append = Seconds(machine, () => AppendSync(Path.Combine(folder, "raw.bin"), batches));
        double insert = Seconds(machine, () => RawSegmentInsert.Run(Path.Combine(folder, "raw.db"), batches));
        string data = Path.Combine(folder, "hub");
        (IngestSent sent, double stored) = await ThroughHubAsync(run, data);
        SealAll(Path.Combine(data, "journal"));
        return new IngestRound(
            reports / sent.Seconds,
            reports / stored,
            reports / append,
            reports / insert,
            sent.AckP50Ms,
            sent.AckP99Ms,
            BytesIn(Path.Combine(data, "journal")),
            BytesIn(Path.Combine(data, "store")));
    }

    private async Task<(IngestSent Sent, double StoredSeconds)> ThroughHubAsync(CommandRun run, string data)
    {
        using X509Certificate2? certificate = run.Get(_plain) ? null : ThrowAway(run.Surroundings.World.GetCurrentInstant());
        var options = new HubOptions
        {
            Node = NodeId.Parse("bench-hub"),
            DataFolder = data,
            Listen = new Uri(certificate is null ? "http://127.0.0.1:0" : "https://127.0.0.1:0"),
            Certificate = certificate,
        };
        var clocks = new HubClocks(run.Surroundings.World, run.Surroundings.Machine, run.Surroundings.Device);
        HubApplication hub = await HubApplication.StartAsync(options, clocks, null, run.Stop);
        await using (hub)
        {
            IngestSent sent = await SendAsync(run, hub.Address, certificate?.GetCertHashString(HashAlgorithmName.SHA256));
            long durable = run.Surroundings.Machine.GetTimestamp();
            await hub.WhenCaughtUpAsync(run.Stop);
            return (sent, sent.Seconds + run.Surroundings.Machine.GetElapsedTime(durable).TotalSeconds);
        }
    }

    private async Task<IngestSent> SendAsync(CommandRun run, Uri hub, string? pin)
    {
        var start = new ProcessStartInfo(Environment.ProcessPath!) { RedirectStandardOutput = true, UseShellExecute = false };
        if (Path.GetFileNameWithoutExtension(Environment.ProcessPath!) == "dotnet")
        {
            start.ArgumentList.Add(typeof(IngestBench).Assembly.Location);
        }

        string[] words =
        [
            "bench", "ingest-sender", "--json", "--hub", hub.ToString(),
            "--agents", Text(run.Get(_agents)), "--reports", Text(run.Get(_reports)), "--batch", Text(run.Get(_batch)),
            .. pin is null ? Array.Empty<string>() : ["--pin", pin],
        ];
        foreach (string word in words)
        {
            start.ArgumentList.Add(word);
        }

        using Process sender = Process.Start(start) ?? throw CommandFault.BadInput("The sending process could not be started.");
        string output = await sender.StandardOutput.ReadToEndAsync(run.Stop);
        await sender.WaitForExitAsync(run.Stop);
        return sender.ExitCode == 0
            ? JsonSerializer.Deserialize<IngestSent>(output, JsonSerializerOptions.Web)!
            : throw CommandFault.BadInput($"The sending process ended with {sender.ExitCode}.");
    }

    private static void AppendSync(string file, IReadOnlyList<RawReport>[] batches)
    {
        using Microsoft.Win32.SafeHandles.SafeFileHandle handle = File.OpenHandle(file, FileMode.CreateNew, FileAccess.Write);
        long at = 0;
        foreach (IReadOnlyList<RawReport> batch in batches)
        {
            RandomAccess.Write(handle, [.. batch.Select(report => report.Bytes)], at);
            RandomAccess.FlushToDisk(handle);
            at += batch.Sum(report => (long)report.Bytes.Length);
        }
    }

    /// <summary>Closes and seals every segment, as a running hub does in its idle moments: a tiny segment limit makes the next append close the last one.</summary>
    private static void SealAll(string folder)
    {
        var options = new JournalOptions { Folder = folder, Node = NodeId.Parse("bench-hub"), SegmentBytes = 4 << 10 };
        if (Journal.Open(new PhysicalDisk(), options, 1, 2) is not JournalOpening.Opened { Journal: { } journal })
        {
            throw CommandFault.BadInput("The measured journal cannot be opened again.");
        }

        using (journal)
        {
            for (ulong sequence = 1; sequence <= 2; sequence++)
            {
                journal.Append([new RawReport(new ReportKey(new OriginId(NodeId.Parse("bench-end"), 1), sequence), new byte[8_000])], Instant.FromUnixTimeSeconds(0));
            }

            while (journal.Maintain(Duration.Zero) is { Fault: null, Value: true })
            {
                // One piece a call.
            }
        }
    }

    private static void Show(CommandRun run, IngestLoad[] loads, List<IngestRound> rounds)
    {
        long reports = loads.Sum(load => (long)load.Reports.Length);
        long readings = loads.Sum(load => load.Readings);
        double Median(Func<IngestRound, double> of) => rounds.Select(of).Order().ElementAt(rounds.Count / 2);
        double bytes = Median(round => round.JournalBytes + round.StoreBytes);
        var shape = new
        {
            bench = "ingest",
            reports,
            readings,
            encodedBytesPerReport = loads.Sum(load => load.Reports.Sum(report => (long)report.Bytes.Length)) / (double)reports,
            durablePerSecond = Median(round => round.Durable),
            storedPerSecond = Median(round => round.Stored),
            rawAppendSyncPerSecond = Median(round => round.RawAppendSync),
            rawLiteDbPerSecond = Median(round => round.RawLiteDb),
            shareOfRawLiteDb = Median(round => round.Durable / round.RawLiteDb),
            ackP50Ms = Median(round => round.AckP50Ms),
            ackP99Ms = Median(round => round.AckP99Ms),
            diskBytesPerReport = bytes / reports,
            diskBytesPerReading = bytes / readings,
            journalBytesPerReport = Median(round => round.JournalBytes) / reports,
            storeBytesPerReport = Median(round => round.StoreBytes) / reports,
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
        table.AddRow("raw LiteDB segments, reports/s", Text(shape.rawLiteDbPerSecond));
        table.AddRow("share of raw LiteDB", shape.shareOfRawLiteDb.ToString("0.00", CultureInfo.InvariantCulture));
        table.AddRow("ack, median and p99", string.Create(CultureInfo.InvariantCulture, $"{shape.ackP50Ms:0} and {shape.ackP99Ms:0} ms"));
        table.AddRow("bytes on disk per report", Text(shape.diskBytesPerReport));
        table.AddRow("bytes on disk per reading", Text(shape.diskBytesPerReading));
        run.Out.Draw(table);
    }

    private static X509Certificate2 ThrowAway(Instant now)
    {
        using ECDsa key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var request = new CertificateRequest("CN=kitmesh bench", key, HashAlgorithmName.SHA256);
        var names = new SubjectAlternativeNameBuilder();
        names.AddIpAddress(IPAddress.Loopback);
        request.CertificateExtensions.Add(names.Build());
        return request.CreateSelfSigned((now - Duration.FromDays(1)).ToDateTimeOffset(), (now + Duration.FromDays(1)).ToDateTimeOffset());
    }

    private static double Seconds(TimeProvider machine, Action work)
    {
        long start = machine.GetTimestamp();
        work();
        return machine.GetElapsedTime(start).TotalSeconds;
    }

    private static long BytesIn(string folder) => new DirectoryInfo(folder).EnumerateFiles("*", SearchOption.AllDirectories).Sum(file => file.Length);

    private static string Text(double value) => value.ToString("#,0", CultureInfo.InvariantCulture);

    private static string Text(int value) => value.ToString(CultureInfo.InvariantCulture);
}
