using System.CommandLine;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh ledger</c>: which card may be formatted, which copy lies where.</summary>
internal sealed class LedgerCommand : ICommandFile
{
    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<string?> _card = OptionKit.Text("--card", "Only this card. Without it: all.");
    private readonly Option<string?> _team = OptionKit.Text("--team", "Only this team. Without it: all.");

    public Command Build(Surroundings surroundings) =>
        new Command("ledger", "Which cards may be formatted and where every copy lies. Exit code 1 when a card is on hold past its evening or a clip is short.")
        {
            _hub, _card, _team,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        using var client = new HubClient(run.Get(_hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        GetLedgerResponse ledger = await client.LedgerAsync(new GetLedgerRequest { Card = run.Get(_card) ?? "", Team = run.Get(_team) ?? "" });
        if (run.Json)
        {
            run.Out.Line(AnswerJson.Line(AnswerJson.Of(ledger, ledger.Document, "asOf", "zone", "stateFingerprint", "badNews")));
        }
        else
        {
            LedgerDrawing.Draw(run.Out, ledger);
        }

        return ledger.BadNews ? ExitCode.BadNews : ExitCode.Good;
    }
}
