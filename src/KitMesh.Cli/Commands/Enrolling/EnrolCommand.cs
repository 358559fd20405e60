using System.CommandLine;
using KitMesh.Agent.Identity;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary><c>kitmesh enrol</c>: this device joins a mesh; below it, what keepers do about joining.</summary>
internal sealed class EnrolCommand : ICommandFile
{
    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<string?> _pin = OptionKit.Text("--pin", "The pin of the hub's key, 43 characters, as shown beside the code. Without it the code alone vouches for the hub.");
    private readonly Option<FileInfo?> _codeFile = new("--code-file") { Description = "A file with the code, or with the text of the picture. Without it: standard input.", HelpName = "file" };
    private readonly Option<DirectoryInfo?> _data = OptionKit.Folder("--data", "This device becomes a further hub with this data folder; needs a code with the role hub.", required: false);

    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("enrol", "Join this device to a mesh with a one-time code, read from standard input so that it stands in no process list. docs/enrolment.md")
        {
            _hub, _pin, _codeFile, _data,
        }.Runs(surroundings, RunAsync);
        command.Subcommands.Add(new EnrolCodeCommand().Build(surroundings));
        command.Subcommands.Add(new EnrolListCommand().Build(surroundings));
        command.Subcommands.Add(new EnrolRevokeCommand().Build(surroundings));
        command.Subcommands.Add(new EnrolRenewCommand().Build(surroundings));
        command.Subcommands.Add(new EnrolRootCommand().Build(surroundings));
        command.Subcommands.Add(new EnrolSpareCommand().Build(surroundings));
        command.Subcommands.Add(new EnrolRestoreCommand().Build(surroundings));
        return command;
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        var folder = new IdentityFolder(run.IdentityFolder);
        string? data = run.Get(_data)?.FullName;
        if (data is not null ? new HubIdentityFolder(data).HasRoot : folder.IsEnrolled)
        {
            throw CommandFault.BadInput(
                $"There is an identity in {(data is not null ? new HubIdentityFolder(data).Location : folder.Path)} already. Nothing was changed.",
                "Name another folder, or remove this one if this device shall join under another name.");
        }

        (Uri hub, Sha256Hash? pin, EnrolCode code) = Read(run, SecretInput.Line(run, run.Get(_codeFile), "One-time code (or the text of the picture)", hidden: false));
        EnrolOutcome outcome = await new EnrolClient(hub, pin).EnrolAsync(code, run.Surroundings.Machine, run.Stop);
        switch (outcome)
        {
            case EnrolOutcome.Enrolled enrolled:
                return Keep(run, folder, data, hub, enrolled);
            case EnrolOutcome.Refused refused:
                throw CommandFault.BadInput($"Not let in: {refused.Words}");
            case EnrolOutcome.Unreachable unreachable:
                throw new CommandFault(ExitCode.HubUnreachable, $"No hub answers: {unreachable.Words}", "Is it running with an https address, and is this device on its network? The code was not used.");
            default:
                throw new InvalidOperationException($"Unknown outcome {outcome}.");
        }
    }

    private (Uri Hub, Sha256Hash? Pin, EnrolCode Code) Read(CommandRun run, string secret)
    {
        if (EnrolInvite.Looks(secret))
        {
            return EnrolInvite.TryParse(secret, out EnrolInvite? invite)
                ? (run.IsGiven(_hub) ? run.Get(_hub) : invite.Hub, invite.Pin, invite.Code)
                : throw CommandFault.BadInput("The text of the picture is not whole.", "Scan it again, or type the code and give --hub and --pin.");
        }

        if (!EnrolCode.TryParse(secret, out EnrolCode? code))
        {
            throw CommandFault.BadInput("The code was mistyped: its check sum does not fit.", "It has 18 letters and digits in three groups. No attempt was spent.");
        }

        Uri hub = run.Get(_hub);
        if (hub.Scheme != Uri.UriSchemeHttps)
        {
            throw CommandFault.BadInput($"{hub} is no https address.", "Give the hub's address as shown beside the code: --hub https://192.168.4.1:7433");
        }

        if (run.Get(_pin) is not { } text)
        {
            return (hub, null, code);
        }

        return KeyPin.TryParse(text.Trim(), out Sha256Hash pin) ? (hub, pin, code) : throw CommandFault.BadInput("--pin takes 43 characters of base64url, as shown beside the code.");
    }

    private static ExitCode Keep(CommandRun run, IdentityFolder folder, string? data, Uri hub, EnrolOutcome.Enrolled enrolled)
    {
        bool isHub = enrolled.Member.Roles.HasFlag(MeshRoles.Hub);
        if (isHub != data is not null)
        {
            throw CommandFault.BadInput(
                isHub ? $"The code was for a further hub, {enrolled.Member.Node}." : $"The code lets {enrolled.Member.Node} in as {string.Join(" and ", RoleNames.Of(enrolled.Member.Roles))}, not as a hub.",
                isHub ? "Ask for a new code and give --data, the hub's data folder." : "Ask for a new code with the role hub, or leave --data out.");
        }

        string kept;
        if (data is not null)
        {
            var hubFolder = new HubIdentityFolder(data);
            try
            {
                hubFolder.SaveIssuer(enrolled.Root, enrolled.Certificate, enrolled.Key);
            }
            catch (HubStartException refused)
            {
                throw CommandFault.BadInput(refused.Message, inner: refused);
            }

            kept = hubFolder.Location;
        }
        else
        {
            folder.Save(enrolled);
            kept = folder.Path;
        }

        TrustVerdict.Member member = enrolled.Member;
        run.Talk.Say($"{member.Node} is let in as {string.Join(" and ", RoleNames.Of(member.Roles))}; its key is in {kept} and nowhere else.");
        run.Talk.Say(data is not null
            ? $"Start it with: kitmesh hub --node {member.Node} --data {data} --listen https://0.0.0.0:7433"
            : $"In the agent file: node: {member.Node}, identity: {kept}, hubs: [{hub.GetLeftPart(UriPartial.Authority)}]");
        if (run.Json)
        {
            run.Out.Json(new { kind = "enrolled", node = member.Node, roles = RoleNames.Of(member.Roles), folder = kept, until = member.Span.Until });
        }

        return ExitCode.Good;
    }
}
