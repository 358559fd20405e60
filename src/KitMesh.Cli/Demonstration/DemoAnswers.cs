using System.Text.Json.Nodes;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Demonstration;

/// <summary>What the hub answers when the scenario has been played: all of it from reports that arrived.</summary>
internal sealed record DemoAnswers(
    GetOutlookResponse Outlook,
    GetLedgerResponse Ledger,
    GetAlertsResponse Alerts,
    GetAdviceResponse Advice,
    GetStatusResponse Status)
{
    /// <summary>Attempts at the outlook: on a busy machine the hub may need longer than one call may take.</summary>
    private const int MostTries = 5;

    public static async Task<DemoAnswers> AskAsync(HubClient hub) => new(
        await OutlookAsync(hub),
        await hub.LedgerAsync(new GetLedgerRequest()),
        await hub.AlertsAsync(),
        await hub.AdviceAsync(new GetAdviceRequest()),
        await hub.StatusAsync());

    private static async Task<GetOutlookResponse> OutlookAsync(HubClient hub)
    {
        for (int tries = 1; ; tries++)
        {
            try
            {
                return await hub.OutlookAsync(new GetOutlookRequest());
            }
            catch (CommandFault busy) when (busy.Code == ExitCode.HubUnreachable && tries < MostTries)
            {
                // Asked again: what it had computed so far is lost, what it knows is not.
            }
        }
    }

    /// <summary>The one JSON object of <c>demo --once --json</c>.</summary>
    public JsonObject ToJson()
    {
        var counts = new JsonObject();
        foreach (KindCount kind in Status.Kinds)
        {
            counts[kind.Kind] = kind.Count;
        }

        return new JsonObject
        {
            ["outlook"] = AnswerJson.Of(Outlook, Outlook.Document, "asOf", "zone", "missing", "badNews"),
            ["ledger"] = AnswerJson.Of(Ledger, Ledger.Document, "asOf", "zone", "badNews"),
            ["alerts"] = AnswerJson.Of(Alerts, null)["alerts"]!.DeepClone(),
            ["advice"] = AnswerJson.Of(Advice, null)["advice"]!.DeepClone(),
            ["reports"] = counts,
            ["digest"] = Status.StateFingerprint,
        };
    }

    public void Draw(DataOut output)
    {
        OutlookDrawing.Draw(output, Outlook);
        output.Line();
        LedgerDrawing.Draw(output, Ledger, isNarrowed: false);
        output.Line();
        AdviceDrawing.Draw(output, Advice, Alerts);
        output.Line();
        output.Paragraph($"From {Status.Reports} reports: {string.Join(", ", Status.Kinds.Select(kind => $"{kind.Count} {kind.Kind}"))}.");
        output.Line($"State fingerprint {Status.StateFingerprint}");
    }
}
