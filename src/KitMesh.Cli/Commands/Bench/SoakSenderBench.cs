using System.CommandLine;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Bench;

/// <summary><c>kitmesh bench soak-sender</c>: the other process of <c>kitmesh bench soak</c>, which starts and ends it.</summary>
internal sealed class SoakSenderBench : ICommandFile
{
    /// <summary>Reports of one session; then the agent says goodbye and dials again, as one that writes in spells does.</summary>
    public const int SessionReports = 20_000;

    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<string?> _pin = OptionKit.Text("--pin", "SHA-256 of the certificate that the hub shows, in hexadecimal.");
    private readonly Option<int> _agents = OptionKit.Number("--agents", "Senders at once.", 1, IngestBench.MostAgents, 8);
    private readonly Option<int> _batch = OptionKit.Number("--batch", "Reports in one frame.", 1, 4_096, 1_000);

    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("soak-sender", "Send to a hub without end; started by bench soak.") { _hub, _pin, _agents, _batch }.Runs(surroundings, RunAsync);
        command.Hidden = true;
        return command;
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        run.Out.Line(IngestSenderBench.Warm);
        await run.Surroundings.OutputStream.FlushAsync(run.Stop);
        await Task.WhenAll(Enumerable.Range(0, run.Get(_agents)).Select(agent => Task.Run(() => SendAsync(run, agent))));
        return ExitCode.Good;
    }

    private async Task SendAsync(CommandRun run, int agent)
    {
        var walk = new IngestWalk(agent, seed: 1, kin: "");
        var journal = new SoakJournal(walk.Origin);
        while (!run.Stop.IsCancellationRequested)
        {
            journal.Turn(walk.Take(SessionReports));
            var sender = new IngestAgent(walk.Origin, journal, run.Get(_batch), compress: false, run.Surroundings.Machine, run.Surroundings.Device);
            await sender.RunAsync(run.Get(_hub), run.Get(_pin), run.Stop);
            if (sender.Fault is { } fault)
            {
                throw CommandFault.BadInput($"A sender was not served: {fault}");
            }
        }
    }
}
