using System.CommandLine;
using Grpc.Net.Client;
using KitMesh.Agent.Identity;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary><c>kitmesh enrol renew</c>: a new certificate for the same key.</summary>
internal sealed class EnrolRenewCommand
{
    private readonly Option<Uri> _hub = OptionKit.Hub();

    public Command Build(Surroundings surroundings) =>
        new Command("renew", "Get a new certificate for this device's key now. A running agent does it by itself when a third of the time is left.")
        {
            _hub,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        var folder = new IdentityFolder(run.IdentityFolder);
        if (!folder.TryLoad(out NodeIdentity? identity, out string? why))
        {
            throw CommandFault.BadInput(why);
        }

        using var care = new IdentityCare(folder, identity, run.Surroundings.Machine);
        DateTimeOffset before = identity.Member.Span.Until;
        using GrpcChannel channel = HubChannel.Open(run.Get(_hub), run.IdentityFolder);
        string? words = await care.AskAsync(channel, now: true, run.Stop);
        if (ReferenceEquals(care.Identity, identity) || care.Identity.Member.Span.Until < before)
        {
            throw new CommandFault(ExitCode.HubUnreachable, words ?? "This hub renews nobody with these roles.", "The present certificate goes on; ask the hub that holds the trip root.");
        }

        run.Talk.Say(words ?? "");
        if (run.Json)
        {
            run.Out.Json(new { kind = "renewed", node = care.Identity.Member.Node, until = care.Identity.Member.Span.Until });
        }

        return ExitCode.Good;
    }
}
