using System.CommandLine;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Bench;

/// <summary><c>kitmesh bench ingest-sender</c>: the other process of <c>kitmesh bench ingest</c>, which starts it.</summary>
/// <remarks>
/// A process that has just started compiles its code while it runs, which says nothing about a hub that has run for an
/// hour. So other reports go first; then the sender says "warm", waits for a line on its standard input, and only what it
/// sends after that is measured.
/// </remarks>
internal sealed class IngestSenderBench : ICommandFile
{
    /// <summary>What it prints when it is warm.</summary>
    public const string Warm = "warm";

    /// <summary>The runtime counts calls only after a pause, and compiles what is called often only then.</summary>
    private const int WarmRounds = 2;

    private static readonly TimeSpan CompilersPause = TimeSpan.FromSeconds(1);

    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<string?> _pin = OptionKit.Text("--pin", "SHA-256 of the certificate that the hub shows, in hexadecimal.");
    private readonly Option<int> _agents = OptionKit.Number("--agents", "Senders at once.", 1, IngestBench.MostAgents, 64);
    private readonly Option<int> _reports = OptionKit.Number("--reports", "Reports of each sender.", 1, 1_000_000, 4_000);
    private readonly Option<int> _batch = OptionKit.Number("--batch", "Reports in one frame.", 1, 4_096, 1_000);
    private readonly Option<int> _warm = OptionKit.Number("--warm", "Reports sent before, all senders together.", 0, 10_000_000, 0);
    private readonly Option<bool> _compress = OptionKit.Switch("--compress", "Compress as agents do.");
    private readonly Option<int> _seed = OptionKit.Number("--seed", "Seed of the reports.", 1, int.MaxValue, 1);

    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("ingest-sender", "Send to a hub as many agents at once; started by bench ingest.")
        {
            _hub, _pin, _agents, _reports, _batch, _warm, _compress, _seed,
        }.Runs(surroundings, RunAsync);
        command.Hidden = true;
        return command;
    }

    /// <summary>How many reports warm up in all.</summary>
    /// <param name="wanted">As many as were wanted.</param>
    /// <param name="agents">Senders.</param>
    public static int WarmTotal(int wanted, int agents) => WarmEach(wanted, agents) * agents * WarmRounds;

    private static int WarmEach(int wanted, int agents) => wanted / agents / WarmRounds;

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        int count = run.Get(_agents);
        IngestLoad[] loads = [.. Enumerable.Range(0, count).Select(agent => IngestLoad.Of(agent, run.Get(_reports), run.Get(_seed)))];
        int each = WarmEach(run.Get(_warm), count);
        for (int round = 0; each > 0 && round < WarmRounds; round++)
        {
            await SendAsync(run, Agents(run, Enumerable.Range(0, count).Select(agent => IngestLoad.Of(agent, each, run.Get(_seed), $"warm{round}-"))));
            await Task.Delay(CompilersPause, run.Surroundings.Machine, run.Stop);
        }

        IngestAgent[] agents = Agents(run, loads);
        GC.Collect();
        run.Out.Line(Warm);
        await run.Surroundings.OutputStream.FlushAsync(run.Stop);
        using var orders = new StreamReader(Console.OpenStandardInput());
        await orders.ReadLineAsync(run.Stop);

        TimeSpan before = Environment.CpuUsage.TotalTime;
        await SendAsync(run, agents);
        double[] acks = [.. agents.SelectMany(agent => agent.AckMilliseconds).Order()];
        run.Out.Json(new IngestSent(
            run.Surroundings.Machine.GetElapsedTime(agents.Min(agent => agent.FirstSent), agents.Max(agent => agent.LastDurable)).TotalSeconds,
            acks[acks.Length / 2],
            acks[Math.Min(acks.Length - 1, (int)(acks.Length * 0.99))],
            (Environment.CpuUsage.TotalTime - before).TotalSeconds,
            agents.Sum(agent => agent.WireBytes)));
        return ExitCode.Good;
    }

    private IngestAgent[] Agents(CommandRun run, IEnumerable<IngestLoad> loads) =>
        [.. loads.Select(load => new IngestAgent(load.Origin, new IngestMemoryJournal(load), run.Get(_batch), run.Get(_compress), run.Surroundings.Machine, run.Surroundings.Device))];

    private async Task SendAsync(CommandRun run, IngestAgent[] agents)
    {
        await Task.WhenAll(agents.Select(agent => Task.Run(() => agent.RunAsync(run.Get(_hub), run.Get(_pin), run.Stop))));
        if (agents.Select(agent => agent.Fault).OfType<string>().FirstOrDefault() is { } fault)
        {
            throw CommandFault.BadInput($"A sender was not served: {fault}");
        }
    }
}
