using System.CommandLine;
using System.Text.Json.Nodes;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.V1;
using CardFormatted = KitMesh.Domain.Reports.CardFormatted;

namespace KitMesh.Cli.Commands.Keeping;

/// <summary><c>kitmesh ledger formatted</c>: somebody says that a card was formatted; nobody else sees it before its next visit.</summary>
internal sealed class FormattedSubcommand
{
    private readonly Argument<string> _card = new("card") { Description = "The card." };
    private readonly KeeperOptions _keeper = new();

    public Command Build(Surroundings surroundings) => new Command("formatted", "Say that a card was formatted in its camera. Exit code 1 when something that was on it is short of proof.")
    {
        _card, _keeper.Node, _keeper.Hub,
    }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        KitId card = KeeperOptions.Name(run.Get(_card), "card");
        using var hub = new HubClient(run.Get(_keeper.Hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        var request = new GetLedgerRequest { Card = card.Value, PageSize = 1 };
        JsonObject? row = CardDocument.Find(await hub.LedgerAsync(request), card);
        if (row?["insertion"]?.ToString() is not { Length: > 0 } insertion)
        {
            throw CommandFault.BadInput($"No station ever read {card}, so the ledger holds nothing that formatting could remove.");
        }

        await new ReportPen(hub, run.Surroundings, _keeper.NodeOf(run)).WriteAsync(new CardFormatted(card, KitId.Parse(insertion), Inferred: false));
        JsonObject? after = CardDocument.Find(await hub.LedgerAsync(request), card);
        string state = after?["state"]?.ToString() ?? "";
        string reason = after?["reason"]?.ToString() ?? "";
        if (run.Json)
        {
            run.Out.Json(new { kind = "formatted", card, insertion, state, reason });
        }
        else
        {
            run.Out.Line($"{card}: written. {reason}.");
        }

        return CardDocument.IsState(state, "FormattedShort") ? ExitCode.BadNews : ExitCode.Good;
    }
}
