using System.Globalization;

namespace KitMesh.Domain.Reports;

/// <summary>A writer of reports: a node and the epoch of its journal. A journal that lost its tail opens a new epoch.</summary>
/// <param name="Node">The node.</param>
/// <param name="Epoch">64 random bits minted with the journal.</param>
public readonly record struct OriginId(NodeId Node, ulong Epoch) : IComparable<OriginId>
{
    /// <inheritdoc/>
    public int CompareTo(OriginId other)
    {
        int byNode = Node.CompareTo(other.Node);
        return byNode != 0 ? byNode : Epoch.CompareTo(other.Epoch);
    }

    /// <summary>The node, a slash, and the epoch in 16 hexadecimal digits.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Node}/{Epoch:x16}");
}
