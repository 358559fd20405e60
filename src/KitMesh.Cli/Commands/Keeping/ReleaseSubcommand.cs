using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.V1;
using CardReleased = KitMesh.Domain.Reports.CardReleased;

namespace KitMesh.Cli.Commands.Keeping;

/// <summary><c>kitmesh ledger release</c>: a keeper lets a card go against the copy rule.</summary>
/// <remarks>
/// It takes two runs. The first shows what may be lost and writes nothing; the second names the card again and the number
/// of clips that were shown. If anything changed in between, the number differs and nothing is written. What was shown
/// goes into the report, and the report stands in the ledger for ever.
/// </remarks>
internal sealed class ReleaseSubcommand
{
    private const int MostShown = 10_000;

    private readonly Argument<string> _card = new("card") { Description = "The card." };
    private readonly Option<string> _reason = OptionKit.TextRequired("--reason", "Why, in your words; it stands in the ledger for ever.");
    private readonly Option<string?> _confirm = OptionKit.Text("--confirm", "The card's name once more. Without it nothing is written, and what may be lost is shown.");
    private readonly Option<int> _losing = OptionKit.Number("--losing", "With --confirm: how many clips were shown that may be lost.", 0, int.MaxValue, 0);
    private readonly KeeperOptions _keeper = new();

    public Command Build(Surroundings surroundings) => new Command("release", "Release a card against its copy rule: shows what may be lost, and asks for the card's name before it writes.")
    {
        _card, _reason, _confirm, _losing, _keeper.Author, _keeper.Node, _keeper.Hub,
    }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        KitId card = KeeperOptions.Name(run.Get(_card), "card");
        if (string.IsNullOrWhiteSpace(run.Get(_reason)) || string.IsNullOrWhiteSpace(run.Get(_keeper.Author)))
        {
            throw CommandFault.BadInput("A release names its reason and its author.", "Write both after --reason and --author.");
        }

        using var hub = new HubClient(run.Get(_keeper.Hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        var request = new GetLedgerRequest { Card = card.Value, ShortOnly = true, StillOnCard = true };
        (GetLedgerResponse ledger, JsonArray clips) = await LedgerPages.AskAsync(hub, request, MostShown);
        JsonObject row = Held(card, CardDocument.Find(ledger, card));
        string given = ReleaseWords.Given(row, clips, ledger.Clips);
        if (run.Get(_confirm) is null)
        {
            Show(run, card, row, clips, ledger.Clips, given, written: false);
            return ExitCode.BadNews;
        }

        Check(run, card, ledger.Clips);
        var release = new CardReleased(card, KitId.Parse(row["insertion"]!.ToString()), run.Get(_keeper.Author), run.Get(_reason), given);
        await new ReportPen(hub, run.Surroundings, _keeper.NodeOf(run)).WriteAsync(release);
        JsonObject? now = CardDocument.Find(await hub.LedgerAsync(request), card);
        bool stands = CardDocument.IsState(now?["state"]?.ToString(), "MayBeFormatted");
        Show(run, card, now ?? row, clips, ledger.Clips, given, written: true);
        if (!stands && !run.Json)
        {
            run.Out.Line($"It stands in the ledger, but {card} is still on hold: {now?["reason"]}. Without the right to release, a release is kept and shown and releases nothing.");
        }

        return stands ? ExitCode.Good : ExitCode.BadNews;
    }

    private static JsonObject Held(KitId card, JsonObject? row)
    {
        string? state = row?["state"]?.ToString();
        if (row is null || CardDocument.IsState(state, "NotSeen") || row["insertion"] is null)
        {
            throw CommandFault.BadInput($"No station ever read {card}: nobody can say what would be lost, so it cannot be released.", "Read it at a station first.");
        }

        return CardDocument.IsState(state, "OnHold")
            ? row
            : throw CommandFault.BadInput($"{card} is not on hold: {row["reason"]}.", "There is nothing to release.");
    }

    private void Check(CommandRun run, KitId card, uint clips)
    {
        if (run.Get(_confirm) != card.Value)
        {
            throw CommandFault.BadInput($"--confirm names \"{run.Get(_confirm)}\", not \"{card}\".", "Nothing was written.");
        }

        if (!run.IsGiven(_losing) || run.Get(_losing) != clips)
        {
            string said = run.IsGiven(_losing) ? run.Get(_losing).ToString(CultureInfo.InvariantCulture) : "nothing";
            throw CommandFault.BadInput(
                $"--losing says {said}; {clips} clips may be lost as the ledger stands now.",
                "Nothing was written. Run it without --confirm, read what may be lost, and confirm that number.");
        }
    }

    private static void Show(CommandRun run, KitId card, JsonObject row, JsonArray clips, uint total, string given, bool written)
    {
        if (run.Json)
        {
            run.Out.Json(new { kind = "release", card, written, clipsAtRisk = total, given, state = row["state"]?.ToString(), reason = row["reason"]?.ToString(), release = row["override"]?.ToString() });
            return;
        }

        run.Out.Heading(written ? $"{card} is released against its copy rule" : $"What may be lost when {card} is formatted");
        run.Out.Line($"  {given}");
        if (!written)
        {
            LedgerDrawing.DrawClips(run.Out, clips, total);
            run.Out.Line($"Nothing was written. To release it all the same, run the same with --confirm \"{card}\" --losing {total}. It then stands in the ledger for ever, with its reason and your name.");
        }
    }
}
