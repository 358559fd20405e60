using System.CommandLine;
using System.Text.Json.Nodes;
using KitMesh.Alerts;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Domain.Digest;
using KitMesh.Protocol.V1;
using KitMesh.TripFile;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh digest</c>: a team's news in one line for a thin link, and back.</summary>
internal sealed class DigestCommand : ICommandFile
{
    private const int MaxInput = 4_000;

    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<string?> _team = OptionKit.Text("--team", "The team. Needed when the trip has several.");
    private readonly Option<string?> _read = OptionKit.Text("--read", "A line that was received: hand it to the hub, which keeps it as second-hand news. - reads it from stdin.");
    private readonly Option<string?> _by = OptionKit.Text("--by", "With --read: who typed it. Without it: nobody is named.");
    private readonly Option<string?> _trip = OptionKit.Text("--trip", "With --read: show the line with the names of this trip file and hand it to no hub.");
    private readonly Option<string> _size = new("--size")
    {
        Description = "The most symbols: 51 (long-range radio), 140 or sms (160, a text message), 340 (satellite message). Every symbol is one byte.",
        DefaultValueFactory = _ => "51",
    };

    public DigestCommand() => _size.AcceptOnlyFromAmong("51", "140", "sms", "340");

    public Command Build(Surroundings surroundings) =>
        new Command("digest", "A team's outlook, alerts and footage in one line that can be typed or sent over a thin link, and back.")
        {
            _hub, _team, _size, _read, _by, _trip,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        if (!run.IsGiven(_read))
        {
            return run.IsGiven(_by) || run.IsGiven(_trip)
                ? throw CommandFault.BadInput("--by and --trip belong to --read.", "Give --read with the line that was received, or leave them out.")
                : await PackAsync(run);
        }

        if (run.IsGiven(_team) || run.IsGiven(_size))
        {
            throw CommandFault.BadInput("--team and --size do not go with --read: a line says itself whose it is.");
        }

        string typed = await TypedAsync(run);
        DigestReading reading = DigestLine.Read(typed);
        return reading switch
        {
            DigestReading.Refused refused => throw CommandFault.BadInput(refused.Reason, "Nothing of the line was used."),
            DigestReading.Read read when run.Get(_trip) is { } file => ShowAlone(run, read, file),
            _ => await HearAsync(run, typed),
        };
    }

    private async Task<ExitCode> PackAsync(CommandRun run)
    {
        uint size = run.Get(_size) == "sms" ? (uint)DigestSize.Text160 : uint.Parse(run.Get(_size), System.Globalization.CultureInfo.InvariantCulture);
        using var client = new HubClient(run.Get(_hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        PackDigestResponse packed = await client.PackDigestAsync(new PackDigestRequest { Team = run.Get(_team) ?? "", Size = size });
        foreach (string remark in packed.Remarks)
        {
            run.Talk.Say(remark);
        }

        if (run.Json)
        {
            run.Out.Line(AnswerJson.Line(AnswerJson.Of(packed, null)));
            return ExitCode.Good;
        }

        run.Out.Line(packed.Line);
        run.Talk.Say($"{packed.Line.Length} symbols, one byte each. To read aloud: {packed.Grouped}");
        foreach (string sentence in packed.Words)
        {
            run.Talk.Say($"  {sentence}");
        }

        return ExitCode.Good;
    }

    private async Task<string> TypedAsync(CommandRun run)
    {
        string typed = run.Get(_read) ?? "";
        if (typed != "-")
        {
            return typed;
        }

        char[] buffer = new char[MaxInput];
        int read = await Console.In.ReadBlockAsync(buffer.AsMemory(), run.Stop);
        return new string(buffer, 0, read);
    }

    private async Task<ExitCode> HearAsync(CommandRun run, string typed)
    {
        using var client = new HubClient(run.Get(_hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        HearDigestResponse answer = await client.HearDigestAsync(new HearDigestRequest { Line = typed, Author = run.Get(_by) ?? "" });
        if (run.Json)
        {
            JsonObject json = AnswerJson.Of(answer, null);
            run.Out.Line(AnswerJson.Line(json["heard"]!));
            return ExitCode.Good;
        }

        HeardDigest heard = answer.Heard;
        run.Out.Heading($"{heard.Team}: second-hand news, {heard.Age}, made {heard.MadeAt.ToDateTime().ToString("yyyy-MM-dd HH:mm'Z'", System.Globalization.CultureInfo.InvariantCulture)} by the sender's clock");
        foreach (string sentence in heard.Words)
        {
            run.Out.Line($"  {sentence}");
        }

        run.Talk.Say("The hub keeps it as second-hand news.");
        return ExitCode.Good;
    }

    private static ExitCode ShowAlone(CommandRun run, DigestReading.Read read, string file)
    {
        TripRead trip = TripText.Check(run, file)!;
        var names = new DigestNames(trip.Items, AlertCatalogue.All.Select(rule => rule.Name));
        string age = DigestWords.Age(read.Content.MadeAt, run.Surroundings.World.GetCurrentInstant());
        if (run.Json)
        {
            run.Out.Json(new { read.Line, team = names.Team(read.Content.Team), read.Content.MadeAt, age, words = DigestWords.Of(read.Content, names), read.Content });
            return ExitCode.Good;
        }

        run.Out.Heading($"{names.Team(read.Content.Team)}: second-hand news, {age}, made {read.Content.MadeAt} by the sender's clock");
        foreach (string sentence in DigestWords.Of(read.Content, names))
        {
            run.Out.Line($"  {sentence}");
        }

        run.Talk.Say("No hub was told.");
        return ExitCode.Good;
    }
}
