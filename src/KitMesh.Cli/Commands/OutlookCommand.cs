using System.CommandLine;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh outlook</c>: will the energy and the drives last.</summary>
internal sealed class OutlookCommand : ICommandFile
{
    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<string?> _team = OptionKit.Text("--team", "Only this team. Without it: all.");
    private readonly Option<ulong> _seed = OptionKit.Number<ulong>("--seed", "Seed of the random paths; 0 for the hub's own.", 0, ulong.MaxValue, 0);
    private readonly Option<uint> _paths = OptionKit.Number<uint>("--paths", "Paths to roll: 1,000 or more; 0 for the hub's own number.", 0, 100_000, 0);

    public Command Build(Surroundings surroundings) =>
        new Command("outlook", "Will the energy last, will the drives, and what charges tonight. Exit code 1 when something is past its limit.")
        {
            _hub, _team, _seed, _paths,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        using var client = new HubClient(run.Get(_hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        GetOutlookResponse outlook = await client.OutlookAsync(new GetOutlookRequest { Team = run.Get(_team) ?? "", Seed = run.Get(_seed), Paths = run.Get(_paths) });
        if (run.Json)
        {
            run.Out.Line(AnswerJson.Line(AnswerJson.Of(outlook, outlook.Document, "asOf", "zone", "stateFingerprint", "missing", "badNews")));
        }
        else
        {
            OutlookDrawing.Draw(run.Out, outlook);
        }

        return outlook.BadNews ? ExitCode.BadNews : ExitCode.Good;
    }
}
