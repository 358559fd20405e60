using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>Names an alert that an agent raised by itself.</summary>
/// <param name="Node">The agent.</param>
/// <param name="Rule">The rule.</param>
/// <param name="Subject">What it is about.</param>
public readonly record struct AlertRef(NodeId Node, string Rule, KitId Subject) : IComparable<AlertRef>
{
    /// <inheritdoc/>
    public int CompareTo(AlertRef other)
    {
        int byNode = Node.CompareTo(other.Node);
        if (byNode != 0)
        {
            return byNode;
        }

        int byRule = string.CompareOrdinal(Rule, other.Rule);
        return byRule != 0 ? byRule : Subject.CompareTo(other.Subject);
    }
}
