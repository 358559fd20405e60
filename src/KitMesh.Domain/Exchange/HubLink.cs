using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Exchange;

/// <summary>A link between two hubs as the trip declares it.</summary>
/// <param name="From">The hub that dials.</param>
/// <param name="To">The hub that is dialled.</param>
/// <param name="Address">Where it answers.</param>
/// <param name="IsThin">Whether urgent and new reports go first.</param>
/// <param name="BytesPerDay">The budget of a civil day, both directions together; null without one.</param>
public sealed record HubLink(NodeId From, NodeId To, Uri Address, bool IsThin, long? BytesPerDay)
{
    /// <summary>Whether it joins two hubs, whichever dials.</summary>
    /// <param name="one">One of them.</param>
    /// <param name="other">The other.</param>
    public bool Joins(NodeId one, NodeId other) => (From == one && To == other) || (From == other && To == one);
}
