using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary><c>kitmesh enrol code</c>: a keeper lets one device in.</summary>
internal sealed class EnrolCodeCommand
{
    private readonly KeeperLink _link = new();
    private readonly Option<string> _node = OptionKit.TextRequired("--node", "The name that the device gets: 1 to 63 characters of a-z, 0-9 and inner hyphens.");
    private readonly Option<string[]> _roles = new("--role")
    {
        Description = "What it may do: writer, reader, keeper or hub; may be given more than once. Default: writer.",
        DefaultValueFactory = _ => ["writer"],
    };

    private readonly Option<int> _minutes = OptionKit.Number("--minutes", "How long the code may be used.", 1, 1_440, 10);
    private readonly Option<string?> _address = OptionKit.Text("--address", "The hub's address to put into the picture. Without it: the hub's first private address.");
    private readonly Option<bool> _page = OptionKit.Switch("--page", "For a browser, which joins by the link of the picture; as reader unless --role says writer too.");
    private readonly Option<bool> _dark = OptionKit.Switch("--dark-on-light", "Draw the picture for a terminal with a light background.");

    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("code", "Make a one-time code that lets one device in, with its picture. It is shown once.")
        {
            _node, _roles, _minutes, _address, _page, _dark,
        }.Runs(surroundings, RunAsync);
        _link.AddTo(command);
        return command;
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        var request = new MintCodeRequest { Node = run.Get(_node), Seconds = (uint)run.Get(_minutes) * 60, Page = run.Get(_page) };
        request.Roles.AddRange(request.Page && !run.IsGiven(_roles) ? ["reader"] : run.Get(_roles));
        MintCodeResponse made = await _link.CallAsync(run, (client, deadline) => client.MintCodeAsync(request, deadline: deadline, cancellationToken: run.Stop).ResponseAsync);
        string? text = run.Get(_address) ?? made.Addresses.FirstOrDefault();
        if (!Uri.TryCreate(text, UriKind.Absolute, out Uri? hub)
            || hub.Scheme != Uri.UriSchemeHttps
            || !KeyPin.TryParse(made.Pin, out Sha256Hash pin)
            || !EnrolCode.TryParse(made.Code, out EnrolCode? code))
        {
            throw CommandFault.BadInput($"\"{text}\" is no https address of a hub.", "Give it with --address https://192.168.4.1:7433. The code that was made is worthless once a new one is made.");
        }

        string invite = request.Page ? $"{hub.GetLeftPart(UriPartial.Authority)}/join?code={made.Code}" : new EnrolInvite(hub, pin, code).Reveal();
        if (run.Json)
        {
            run.Out.Json(new { kind = "enrol_code", node = request.Node, roles = request.Roles, code = made.Code, pin = made.Pin, addresses = made.Addresses, invite, seconds = made.Seconds });
            return ExitCode.Good;
        }

        run.Out.Line(QrPicture.Draw(invite, darkOnLight: run.Get(_dark)));
        run.Out.Line($"code     {made.Code}");
        run.Out.Line($"hub      {hub.GetLeftPart(UriPartial.Authority)}");
        run.Out.Line($"pin      {made.Pin}");
        run.Out.Line();
        run.Talk.Say(request.Page
            ? $"In the browser, within {run.Get(_minutes)} min: scan the picture, or open {hub.GetLeftPart(UriPartial.Authority)}/join and type the code."
            : $"On the device, within {run.Get(_minutes)} min: kitmesh enrol --hub {hub.GetLeftPart(UriPartial.Authority)} --identity FOLDER, then type the code.");
        run.Talk.Say("Whoever sees the code may join in its place: show it to nobody else.");
        return ExitCode.Good;
    }
}
