using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Kit;

/// <summary>An agent that the trip expects to hear from.</summary>
/// <param name="Node">The agent.</param>
/// <param name="Team">The team it travels with.</param>
/// <param name="SilentAfter">It counts as silent when not heard for longer.</param>
public sealed record WatchedAgent(NodeId Node, KitId Team, Duration SilentAfter) : KitItem(KitId.Parse(Node.Value))
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.WatchedAgent;
}
