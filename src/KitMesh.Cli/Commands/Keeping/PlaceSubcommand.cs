using System.CommandLine;
using System.Text.Json.Nodes;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.V1;
using NodaTime;
using KitPlaced = KitMesh.Domain.Reports.KitPlaced;

namespace KitMesh.Cli.Commands.Keeping;

/// <summary><c>kitmesh ledger place</c>: a drive went into a case, a case went with a team.</summary>
internal sealed class PlaceSubcommand
{
    private readonly Argument<string> _item = new("item") { Description = "What was moved: a drive, a case, a person, a team." };
    private readonly Option<string?> _into = OptionKit.Text("--into", "What holds or carries it now: a case, person, team or place.");
    private readonly Option<bool> _alone = OptionKit.Switch("--alone", "It stands alone now.");
    private readonly Option<string?> _since = OptionKit.Text("--since", "When it moved, when told afterwards, such as 2027-02-14T20:00:00Z. Without it: now.");
    private readonly KeeperOptions _keeper = new();

    public Command Build(Surroundings surroundings) => new Command("place", "Say where a drive or a case is now, or was since a moment. The ledger of that time follows.")
    {
        _item, _into, _alone, _since, _keeper.Author, _keeper.Node, _keeper.Hub,
    }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        KitId item = KeeperOptions.Name(run.Get(_item), "item");
        KitId? into = run.Get(_into) is { } holder ? KeeperOptions.Name(holder, "--into") : null;
        if (into is null != run.Get(_alone))
        {
            throw CommandFault.BadInput("Say either --into HOLDER or --alone.");
        }

        Instant? since = run.Get(_since) is { } told ? Moments.Parse(told, "--since") : null;
        using var hub = new HubClient(run.Get(_keeper.Hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        var request = new GetLedgerRequest { PageSize = 1 };
        IReadOnlyList<string> remarks = await new ReportPen(hub, run.Surroundings, _keeper.NodeOf(run)).WriteAsync(new KitPlaced(item, into, run.Get(_keeper.Author), since));
        GetLedgerResponse answer = await hub.LedgerAsync(request);
        JsonObject ledger = AnswerJson.Of(answer, answer.Document);
        string? oddity = (ledger["oddities"] as JsonArray ?? []).OfType<JsonObject>()
            .Where(odd => odd["subject"]?.ToString() == item.Value && into is { } where && odd["message"]?.ToString().Contains(where.Value, StringComparison.Ordinal) == true)
            .Select(odd => odd["message"]?.ToString())
            .FirstOrDefault();
        if (run.Json)
        {
            run.Out.Json(new { kind = "placed", item, into, since, author = run.Get(_keeper.Author), remarks, oddity });
        }
        else
        {
            run.Out.Line($"{item} {(into is { } now ? $"is in or with {now}" : "stands alone")}{(since is { } from ? $" since {from}" : "")}: written.");
            foreach (string remark in remarks.Append(oddity ?? "").Where(remark => remark.Length > 0))
            {
                run.Out.Line($"Note: {remark}");
            }
        }

        return oddity is null ? ExitCode.Good : ExitCode.BadNews;
    }
}
