using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary><c>kitmesh enrol revoke</c>: ends the trust in a node.</summary>
internal sealed class EnrolRevokeCommand
{
    private readonly KeeperLink _link = new();
    private readonly Argument<string> _node = new("node") { Description = "The node that was lost or stolen." };
    private readonly Option<string> _reason = OptionKit.TextRequired("--reason", "Why, in 1 to 400 characters.");
    private readonly Option<string?> _author = OptionKit.Text("--author", "Who decides, as they call themselves. Without it: the node that asks.");

    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("revoke", "End the trust in a node. What this hub holds of it stays proof, what comes later is kept and never proof; its name is not given out again.")
        {
            _node, _reason, _author,
        }.Runs(surroundings, RunAsync);
        _link.AddTo(command);
        return command;
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        var request = new RevokeNodeRequest { Node = run.Get(_node), Reason = run.Get(_reason), Author = run.Get(_author) ?? "" };
        RevokeNodeResponse revoked = await _link.CallAsync(run, (client, deadline) => client.RevokeNodeAsync(request, deadline: deadline, cancellationToken: run.Stop).ResponseAsync);
        if (run.Json)
        {
            run.Out.Json(new { kind = "revoked", node = request.Node, origins = revoked.Origins.Select(origin => new { epoch = origin.Epoch.ToString(CultureInfo.InvariantCulture), lastValid = origin.Sequence }) });
            return ExitCode.Good;
        }

        run.Talk.Say($"The trust in {request.Node} has ended here; every hub that meets this one hears of it.");
        foreach (LastValidOrigin origin in revoked.Origins)
        {
            run.Out.Line(string.Create(CultureInfo.InvariantCulture, $"{request.Node}/{origin.Epoch:x16}: reports 1 to {origin.Sequence} stay proof"));
        }

        return ExitCode.Good;
    }
}
