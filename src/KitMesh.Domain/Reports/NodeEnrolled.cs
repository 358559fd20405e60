namespace KitMesh.Domain.Reports;

/// <summary>A hub gave a node its certificate. The certificates speak for themselves: whoever holds the trip root can check them.</summary>
/// <param name="Node">The node.</param>
/// <param name="Certificate">Its certificate, DER.</param>
/// <param name="Issuer">The certificate of the hub that issued it, DER; empty when the trip root did.</param>
public sealed record NodeEnrolled(NodeId Node, ValueList<byte> Certificate, ValueList<byte> Issuer) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.NodeEnrolled;
}
