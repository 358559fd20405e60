using System.CommandLine;
using System.Text.Json.Nodes;
using Google.Protobuf.WellKnownTypes;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Commands.Keeping;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;
using NodaTime;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh ledger</c>: which card may be formatted, which copy lies where; below it, what a keeper writes.</summary>
internal sealed class LedgerCommand : ICommandFile
{
    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<string?> _card = OptionKit.Text("--card", "Only this card. Without it: all.");
    private readonly Option<string?> _team = OptionKit.Text("--team", "Only this team. Without it: all.");
    private readonly Option<string?> _clip = OptionKit.Text("--clip", "Only this clip: its hash, 32 hexadecimal digits. Without it: all.");
    private readonly Option<string?> _day = OptionKit.Text("--day", "Only clips of this day, such as 2027-02-14. Without it: all.");
    private readonly Option<string?> _drive = OptionKit.Text("--drive", "Only clips with a copy on this drive. Without it: all.");
    private readonly Option<string?> _case = OptionKit.Text("--case", "Only clips with a copy in this case. Without it: all.");
    private readonly Option<string?> _source = OptionKit.Text("--source", "Only clips of this camera or recorder. Without it: all.");
    private readonly Option<bool> _short = OptionKit.Switch("--short", "Only clips that do not meet their copy rule.");
    private readonly Option<int> _clips = OptionKit.Number("--clips", "The most clips to list.", 0, 10_000_000, 200);
    private readonly Option<string?> _at = OptionKit.Text("--at", "The ledger as it stood then, with all that is known by now, such as 2027-02-14T20:00:00Z. Without it: now.");

    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("ledger", "Which cards may be formatted and where every copy lies. Exit code 1 when a card is on hold past its evening or a clip is short.")
        {
            _hub, _card, _team, _clip, _day, _drive, _case, _source, _short, _clips, _at,
        }.Runs(surroundings, RunAsync);
        command.Subcommands.Add(new ReleaseSubcommand().Build(surroundings));
        command.Subcommands.Add(new PlaceSubcommand().Build(surroundings));
        command.Subcommands.Add(new FormattedSubcommand().Build(surroundings));
        return command;
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        using var client = new HubClient(run.Get(_hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        (GetLedgerResponse ledger, JsonArray clips) = await LedgerPages.AskAsync(client, Request(run), run.Get(_clips));
        if (run.Json)
        {
            JsonObject all = AnswerJson.Of(ledger, ledger.Document, "asOf", "zone", "stateFingerprint", "badNews");
            all["clips"] = clips;
            run.Out.Line(AnswerJson.Line(all));
        }
        else
        {
            LedgerDrawing.Draw(run.Out, ledger, IsNarrowed(run));
            if (!IsNarrowed(run))
            {
                LedgerDrawing.DrawDays(run.Out, AnswerJson.Of(ledger, ledger.Document)["days"] as JsonArray ?? []);
            }
            else
            {
                LedgerDrawing.DrawClips(run.Out, clips, ledger.Clips);
            }
        }

        return ledger.BadNews ? ExitCode.BadNews : ExitCode.Good;
    }

    private GetLedgerRequest Request(CommandRun run)
    {
        var request = new GetLedgerRequest
        {
            Card = run.Get(_card) ?? "",
            Team = run.Get(_team) ?? "",
            Clip = run.Get(_clip) ?? "",
            Day = run.Get(_day) ?? "",
            Drive = run.Get(_drive) ?? "",
            Case = run.Get(_case) ?? "",
            Source = run.Get(_source) ?? "",
            ShortOnly = run.Get(_short),
        };
        if (run.Get(_at) is { } at)
        {
            request.At = Timestamp.FromDateTime(Moments.Parse(at, "--at").ToDateTimeUtc());
        }

        return request;
    }

    /// <summary>A person who asks for all sees cards and totals; who asks for some clips sees them.</summary>
    private bool IsNarrowed(CommandRun run) =>
        run.IsGiven(_clips) || run.Get(_short) || new[] { _card, _clip, _day, _drive, _case, _source }.Any(option => run.Get(option) is not null);
}
