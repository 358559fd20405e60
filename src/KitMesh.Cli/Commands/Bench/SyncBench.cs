using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>
/// <c>kitmesh bench sync</c>: how fast one hub passes what it holds to another that has nothing, beside how fast it took the
/// same reports in, and the bytes that this takes on the wire.
/// </summary>
internal sealed class SyncBench : ICommandFile
{
    private readonly Option<int> _agents = OptionKit.Number("--agents", "Origins.", 1, IngestBench.MostAgents, 8);
    private readonly Option<int> _reports = OptionKit.Number("--reports", "Reports of each origin.", 1, 1_000_000, 125_000);
    private readonly Option<DirectoryInfo?> _folder = OptionKit.Folder("--folder", "Where the measured files go, on the disk in question; emptied of them afterwards. A folder for temporary files when not given.", required: false);

    public Command Build(Surroundings surroundings) =>
        new Command("sync", "Measure how fast a hub passes what it holds to another hub.") { _agents, _reports, _folder }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        string folder = Path.Combine(run.Get(_folder)?.FullName ?? Path.GetTempPath(), $"kitmesh-bench-{Environment.ProcessId}");
        Directory.CreateDirectory(folder);
        try
        {
            double ingest = await FillAsync(run, Path.Combine(folder, "team"));
            run.Talk.Say(string.Create(CultureInfo.InvariantCulture, $"Taken in at {ingest:#,0} durable reports/s; now they are passed on."));
            (double seconds, long bytes) = await PassOnAsync(run, folder);
            Show(run, ingest, seconds, bytes);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }

        return ExitCode.Good;
    }

    private async Task<double> FillAsync(CommandRun run, string data)
    {
        HubApplication team = await StartAsync(run, "bench-team", data);
        await using (team)
        {
            using IngestSenderProcess sender = await IngestSenderProcess.StartAsync(
                IngestSenderProcess.Words(team.Address, null, run.Get(_agents), run.Get(_reports), 1_000, 0, compress: false), run.Stop);
            IngestSent sent = await sender.SendAsync(run.Stop);
            await team.WhenCaughtUpAsync(run.Stop);
            return Total(run) / sent.Seconds;
        }
    }

    /// <summary>From the moment at which the full hub begins to dial until the other one holds everything on its disk.</summary>
    private async Task<(double Seconds, long Bytes)> PassOnAsync(CommandRun run, string folder)
    {
        HubApplication camp = await StartAsync(run, "bench-camp", Path.Combine(folder, "camp"));
        await using (camp)
        {
            using var relay = new CountingRelay(camp.Address);
            HubApplication team = await StartAsync(run, "bench-team", Path.Combine(folder, "team"), relay.Address);
            await using (team)
            {
                long start = run.Surroundings.Machine.GetTimestamp();
                using var look = new PeriodicTimer(TimeSpan.FromMilliseconds(10), run.Surroundings.Machine);
                while (camp.ReportsHeld < Total(run))
                {
                    await look.WaitForNextTickAsync(run.Stop);
                }

                return (run.Surroundings.Machine.GetElapsedTime(start).TotalSeconds, relay.Bytes);
            }
        }
    }

    private static Task<HubApplication> StartAsync(CommandRun run, string node, string data, params Uri[] hubs) => HubApplication.StartAsync(
        new HubOptions { Node = NodeId.Parse(node), DataFolder = data, Listen = new Uri("http://127.0.0.1:0"), Hubs = hubs, MaxSessions = 2 * IngestBench.MostAgents },
        new HubClocks(run.Surroundings.World, run.Surroundings.Machine, run.Surroundings.Device),
        null,
        run.Stop);

    private ulong Total(CommandRun run) => (ulong)run.Get(_agents) * (ulong)run.Get(_reports);

    private void Show(CommandRun run, double ingest, double seconds, long bytes)
    {
        long readings = Enumerable.Range(0, run.Get(_agents)).Sum(agent => IngestLoad.Of(agent, run.Get(_reports), 1).Readings);
        var shape = new
        {
            bench = "sync",
            reports = Total(run),
            readings,
            seconds,
            syncPerSecond = Total(run) / seconds,
            ingestPerSecond = ingest,
            shareOfIngest = Total(run) / seconds / ingest,
            wireBytesPerReport = bytes / (double)Total(run),
            wireBytesPerReading = bytes / (double)readings,
        };
        if (run.Json)
        {
            run.Out.Json(shape);
            return;
        }

        Table table = DataOut.Table("what", ">value");
        table.AddRow("passed on, reports/s", shape.syncPerSecond.ToString("#,0", CultureInfo.InvariantCulture));
        table.AddRow("taken in, reports/s", shape.ingestPerSecond.ToString("#,0", CultureInfo.InvariantCulture));
        table.AddRow("share of taking in", shape.shareOfIngest.ToString("0.00", CultureInfo.InvariantCulture));
        table.AddRow("bytes on the wire per report", shape.wireBytesPerReport.ToString("0.0", CultureInfo.InvariantCulture));
        table.AddRow("bytes on the wire per reading", shape.wireBytesPerReading.ToString("0.0", CultureInfo.InvariantCulture));
        run.Out.Draw(table);
    }
}
