using System.CommandLine;
using KitMesh.Agent.Identity;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Cli.Commands.Keeping;

/// <summary>What every verb that writes for a person asks for.</summary>
internal sealed class KeeperOptions
{
    public Option<Uri> Hub { get; } = OptionKit.Hub();

    public Option<string> Author { get; } = OptionKit.TextRequired("--author", "Who says so, as the crew calls them.");

    public Option<string?> Node { get; } = OptionKit.Text("--node", "The node that writes it, at a hub on this machine; where the trip file names nodes that may release, one of them. An enrolled device always writes as itself.", "keeper");

    /// <summary>The writer: whom this device's certificate names, else what was typed.</summary>
    public NodeId NodeOf(CommandRun run)
    {
        if (run.Get(Hub).Scheme == Uri.UriSchemeHttps && new IdentityFolder(run.IdentityFolder).TryLoad(out NodeIdentity? identity, out _))
        {
            using (identity)
            {
                return identity.Member.Node;
            }
        }

        return Typed(run);
    }

    private NodeId Typed(CommandRun run) => NodeId.TryParse(run.Get(Node), out NodeId node)
        ? node
        : throw CommandFault.BadInput($"--node: \"{run.Get(Node)}\" is no node.", "Use 1 to 63 characters of a-z, 0-9 and inner hyphens.");

    public static KitId Name(string text, string what) => KitId.TryParse(text, out KitId id)
        ? id
        : throw CommandFault.BadInput($"{what}: \"{text}\" is no name.", $"Use 1 to {KitId.MaxLength} printable characters without blanks at the ends.");
}
