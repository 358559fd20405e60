using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>Names a reader of an agent, and the thing it reads where one is named.</summary>
/// <param name="Node">The agent.</param>
/// <param name="Reader">The reader.</param>
/// <param name="Subject">The thing; <c>default</c> when none is named.</param>
public readonly record struct ReaderRef(NodeId Node, string Reader, KitId Subject) : IComparable<ReaderRef>
{
    /// <inheritdoc/>
    public int CompareTo(ReaderRef other)
    {
        int byNode = Node.CompareTo(other.Node);
        if (byNode != 0)
        {
            return byNode;
        }

        int byReader = string.CompareOrdinal(Reader, other.Reader);
        return byReader != 0 ? byReader : Subject.CompareTo(other.Subject);
    }
}
