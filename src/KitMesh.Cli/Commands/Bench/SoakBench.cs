using System.CommandLine;
using System.Globalization;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Bench;

/// <summary><c>kitmesh bench soak</c>: a hub under full load for long, its memory each minute, and whether that stays constant.</summary>
internal sealed class SoakBench : ICommandFile
{
    private readonly Option<double> _minutes = OptionKit.Number("--minutes", "How long.", 0.1, 10_080.0, 30.0);
    private readonly Option<int> _every = OptionKit.Number("--every", "Seconds from one look at the memory to the next.", 1, 600, 60);
    private readonly Option<int> _agents = OptionKit.Number("--agents", "Senders at once.", 1, IngestBench.MostAgents, 8);
    private readonly Option<int> _batch = OptionKit.Number("--batch", "Reports in one frame.", 1, 4_096, 1_000);
    private readonly Option<int> _leave = OptionKit.Number("--leave", "Gigabytes that stay free on the disk: with less the soak ends early and says so.", 1, 10_000, 5);
    private readonly Option<DirectoryInfo?> _folder = OptionKit.Folder("--folder", "Where the hub's files go; emptied of them afterwards. A folder for temporary files when not given.", required: false);

    public Command Build(Surroundings surroundings) =>
        new Command("soak", "Keep a hub under full load for long and judge whether its memory stays constant.") { _minutes, _every, _agents, _batch, _leave, _folder }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        string folder = Path.Combine(run.Get(_folder)?.FullName ?? Path.GetTempPath(), $"kitmesh-soak-{Environment.ProcessId}");
        Directory.CreateDirectory(folder);
        try
        {
            (List<SoakSample> samples, string? endedEarly) = await SoakAsync(run, folder);
            return Show(run, samples, endedEarly);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private async Task<(List<SoakSample> Samples, string? EndedEarly)> SoakAsync(CommandRun run, string folder)
    {
        TimeProvider machine = run.Surroundings.Machine;
        using X509Certificate2 certificate = ThrowAwayCertificate.Make(run.Surroundings.World.GetCurrentInstant());
        var options = new HubOptions
        {
            Node = NodeId.Parse("bench-hub"),
            DataFolder = folder,
            Listen = new Uri("https://127.0.0.1:0"),
            Certificate = certificate,
            MaxSessions = Math.Max(256, 2 * run.Get(_agents)),
        };
        await using HubApplication hub = await HubApplication.StartAsync(options, new HubClocks(run.Surroundings.World, machine, run.Surroundings.Device), null, run.Stop);
        string[] words =
        [
            "bench", "soak-sender", "--hub", hub.Address.ToString(), "--pin", certificate.GetCertHashString(HashAlgorithmName.SHA256),
            "--agents", run.Get(_agents).ToString(CultureInfo.InvariantCulture), "--batch", run.Get(_batch).ToString(CultureInfo.InvariantCulture),
        ];
        using IngestSenderProcess sender = await IngestSenderProcess.StartAsync(words, run.Stop);
        var samples = new List<SoakSample>();
        var drive = new DriveInfo(folder);
        using var timer = new PeriodicTimer(TimeSpan.FromSeconds(run.Get(_every)), machine);
        long began = machine.GetTimestamp();
        while (machine.GetElapsedTime(began).TotalMinutes < run.Get(_minutes) && await timer.WaitForNextTickAsync(run.Stop))
        {
            if (!sender.IsRunning)
            {
                return (samples, "the senders ended");
            }

            SoakSample sample = Look(hub, folder, machine.GetElapsedTime(began).TotalMinutes);
            ulong before = samples.Count > 0 ? samples[^1].Reports : 0;
            double seconds = (sample.Minute - (samples.Count > 0 ? samples[^1].Minute : 0)) * 60;
            samples.Add(sample);
            run.Talk.Say(string.Create(
                CultureInfo.InvariantCulture,
                $"{sample.Minute:0.0} min: {sample.Reports:#,0} reports durable ({(sample.Reports - before) / seconds:#,0}/s), {Megabytes(sample.LiveBytes)} MB live, {Megabytes(sample.WorkingSetBytes)} MB working set, {Megabytes(sample.JournalBytes)} MB journal."));
            if (drive.AvailableFreeSpace < run.Get(_leave) * 1_000_000_000L)
            {
                return (samples, $"less than {run.Get(_leave)} GB are free");
            }
        }

        return (samples, null);
    }

    private static SoakSample Look(HubApplication hub, string folder, double minute)
    {
        long live = GC.GetTotalMemory(forceFullCollection: true);
        long journal = new DirectoryInfo(Path.Combine(folder, "journal")).EnumerateFiles().Sum(file => file.Exists ? file.Length : 0);
        return new SoakSample(minute, hub.ReportsHeld, Environment.WorkingSet, live, journal);
    }

    private static ExitCode Show(CommandRun run, List<SoakSample> samples, string? endedEarly)
    {
        SoakVerdict? verdict = SoakVerdict.Of(samples);
        double perSecond = samples.Count == 0 ? 0 : samples[^1].Reports / (samples[^1].Minute * 60);
        if (run.Json)
        {
            run.Out.Json(new { bench = "soak", endedEarly, reportsPerSecond = perSecond, isConstant = verdict?.IsConstant, verdict, samples });
        }
        else
        {
            Table table = DataOut.Table(">minute", ">reports", ">live MB", ">working set MB", ">journal MB");
            foreach (SoakSample sample in samples)
            {
                table.AddRow(
                    sample.Minute.ToString("0.0", CultureInfo.InvariantCulture),
                    sample.Reports.ToString("#,0", CultureInfo.InvariantCulture),
                    Megabytes(sample.LiveBytes),
                    Megabytes(sample.WorkingSetBytes),
                    Megabytes(sample.JournalBytes));
            }

            run.Out.Draw(table);
            run.Out.Paragraph(Words(verdict, perSecond));
        }

        if (endedEarly is not null)
        {
            run.Talk.Say($"Ended early: {endedEarly}.");
        }

        return verdict is { IsConstant: true } && endedEarly is null ? ExitCode.Good : ExitCode.BadNews;
    }

    private static string Words(SoakVerdict? verdict, double perSecond) => verdict is null
        ? $"Fewer than {SoakVerdict.FewestSamples} looks at the memory can be judged: nothing is said about it."
        : string.Create(
            CultureInfo.InvariantCulture,
            $"{perSecond:#,0} durable reports/s. Memory {(verdict.IsConstant ? "stayed constant" : "GREW")} from minute {verdict.FromMinute:0.0} on: live {verdict.LiveBytesPerHour / 1e6:+0.0;-0.0} MB an hour ({verdict.LiveGrowth:+0.0%;-0.0%} of its mean in that time), working set {verdict.WorkingSetBytesPerHour / 1e6:+0.0;-0.0} MB an hour ({verdict.WorkingSetGrowth:+0.0%;-0.0%}).");

    private static string Megabytes(long bytes) => (bytes / 1e6).ToString("#,0.0", CultureInfo.InvariantCulture);
}
