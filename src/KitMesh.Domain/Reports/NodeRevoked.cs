namespace KitMesh.Domain.Reports;

/// <summary>
/// A node is no longer trusted. What it wrote up to a sequence of each origin stays proof; what it wrote later is kept and
/// never proof. The name is not given out again.
/// </summary>
/// <param name="Node">The node.</param>
/// <param name="Origins">Its origins that the hub knew; an origin that is not listed proves nothing.</param>
/// <param name="Author">Who decides, as they call themselves.</param>
/// <param name="Reason">Why, in their words.</param>
public sealed record NodeRevoked(NodeId Node, ValueList<LastValidReport> Origins, string Author, string Reason) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.NodeRevoked;
}
