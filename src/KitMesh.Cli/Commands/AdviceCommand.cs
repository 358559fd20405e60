using System.CommandLine;
using System.Text.Json.Nodes;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh advice</c>: what to do next, and what stands.</summary>
internal sealed class AdviceCommand : ICommandFile
{
    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<string?> _team = OptionKit.Text("--team", "Only this team. Without it: all.");

    public Command Build(Surroundings surroundings) =>
        new Command("advice", "What to do next, most pressing first, and the alerts that stand. Exit code 1 when an alert asks somebody to act.")
        {
            _hub, _team,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        using var client = new HubClient(run.Get(_hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        GetAdviceResponse advice = await client.AdviceAsync(new GetAdviceRequest { Team = run.Get(_team) ?? "" });
        GetAlertsResponse alerts = await client.AlertsAsync(run.Get(_team) ?? "");
        if (run.Json)
        {
            JsonObject json = AnswerJson.Of(advice, advice.Document, "asOf", "zone");
            json["alerts"] = AnswerJson.Of(alerts, null)["alerts"]!.DeepClone();
            run.Out.Line(AnswerJson.Line(json));
        }
        else
        {
            AdviceDrawing.Draw(run.Out, advice, alerts);
        }

        return alerts.Alerts.Any(alert => alert.Weight >= AlertWeight.Act) ? ExitCode.BadNews : ExitCode.Good;
    }
}
