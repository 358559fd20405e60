using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Kit;

/// <summary>An agent that the trip expects to hear from.</summary>
/// <param name="Node">The agent.</param>
/// <param name="Team">The team it travels with.</param>
/// <param name="SilentAfter">It counts as silent when not heard for longer.</param>
/// <param name="MayReportCopies">Its word about copies counts. Where no agent has this, everybody's counts.</param>
/// <param name="MayRelease">It may release cards against the copy rule. Where no agent has this, everybody may.</param>
public sealed record WatchedAgent(NodeId Node, KitId Team, Duration SilentAfter, bool MayReportCopies = false, bool MayRelease = false)
    : KitItem(KitId.Parse(Node.Value))
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.WatchedAgent;
}
