using System.CommandLine;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Bench;

/// <summary><c>kitmesh bench ingest-sender</c>: the other process of <c>kitmesh bench ingest</c>, which starts it.</summary>
internal sealed class IngestSenderBench : ICommandFile
{
    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<string?> _pin = OptionKit.Text("--pin", "SHA-256 of the certificate that the hub shows, in hexadecimal.");
    private readonly Option<int> _agents = OptionKit.Number("--agents", "Senders at once.", 1, 256, 64);
    private readonly Option<int> _reports = OptionKit.Number("--reports", "Reports of each sender.", 1, 1_000_000, 4_000);
    private readonly Option<int> _batch = OptionKit.Number("--batch", "Reports in one frame.", 1, 4_096, 1_000);
    private readonly Option<int> _seed = OptionKit.Number("--seed", "Seed of the reports.", 1, int.MaxValue, 1);

    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("ingest-sender", "Send to a hub as many agents at once; started by bench ingest.")
        {
            _hub, _pin, _agents, _reports, _batch, _seed,
        }.Runs(surroundings, RunAsync);
        command.Hidden = true;
        return command;
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        TimeProvider machine = run.Surroundings.Machine;
        IngestAgent[] agents =
        [
            .. Enumerable.Range(0, run.Get(_agents)).Select(agent =>
                new IngestAgent(IngestLoad.Of(agent, run.Get(_reports), run.Get(_seed)), run.Get(_batch), machine, run.Surroundings.Device)),
        ];
        await Task.WhenAll(agents.Select(agent => Task.Run(() => agent.RunAsync(run.Get(_hub), run.Get(_pin), run.Stop))));
        if (agents.Select(agent => agent.Fault).OfType<string>().FirstOrDefault() is { } fault)
        {
            throw CommandFault.BadInput($"A sender was not served: {fault}");
        }

        double[] acks = [.. agents.SelectMany(agent => agent.AckMilliseconds).Order()];
        run.Out.Json(new IngestSent(
            machine.GetElapsedTime(agents.Min(agent => agent.FirstSent), agents.Max(agent => agent.LastDurable)).TotalSeconds,
            acks[acks.Length / 2],
            acks[Math.Min(acks.Length - 1, (int)(acks.Length * 0.99))]));
        return ExitCode.Good;
    }
}
