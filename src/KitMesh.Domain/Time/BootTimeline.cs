using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Time;

/// <summary>One boot of one node.</summary>
/// <param name="Node">The node.</param>
/// <param name="Boot">The boot.</param>
internal readonly record struct BootTimeline(NodeId Node, BootId Boot) : IComparable<BootTimeline>
{
    /// <inheritdoc/>
    public int CompareTo(BootTimeline other)
    {
        int byNode = Node.CompareTo(other.Node);
        return byNode != 0 ? byNode : Boot.Value.CompareTo(other.Boot.Value);
    }
}
