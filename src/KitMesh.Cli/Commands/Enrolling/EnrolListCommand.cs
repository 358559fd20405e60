using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary><c>kitmesh enrol list</c>: who was let in.</summary>
internal sealed class EnrolListCommand
{
    private readonly KeeperLink _link = new();

    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("list", "Who was let in, by which hub, until when, and in whom the trust has ended.").Runs(surroundings, RunAsync);
        _link.AddTo(command);
        return command;
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        ListNodesResponse list = await _link.CallAsync(run, (client, deadline) => client.ListNodesAsync(new ListNodesRequest(), deadline: deadline, cancellationToken: run.Stop).ResponseAsync);
        if (run.Json)
        {
            run.Out.Json(new
            {
                nodes = list.Nodes.Select(node => new { node = node.Node, roles = node.Roles, issuer = node.Issuer, until = node.Until.ToDateTimeOffset(), revoked = node.Revoked, words = node.Words, page = node.Page }),
                waiting = list.WaitingNodes,
            });
            return ExitCode.Good;
        }

        Table table = DataOut.Table("node", "may", "let in by", "until", "trust");
        foreach (EnrolledNode node in list.Nodes)
        {
            table.AddRow(
                new Text(node.Page ? $"{node.Node} (browser)" : node.Node),
                new Text(string.Join(", ", node.Roles)),
                new Text(node.Issuer.Length > 0 ? node.Issuer : "trip root"),
                new Text(node.Until.ToDateTimeOffset().ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture)),
                new Text(node.Revoked ? $"ended: {node.Words}" : "stands"));
        }

        run.Out.Draw(table);
        if (list.WaitingNodes.Count > 0)
        {
            run.Talk.Say($"Codes wait for: {string.Join(", ", list.WaitingNodes)}.");
        }

        return ExitCode.Good;
    }
}
