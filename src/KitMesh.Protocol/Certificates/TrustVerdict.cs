using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Certificates;

/// <summary>What a certificate is worth under a trip root, whatever the clock says. The set is closed.</summary>
public abstract record TrustVerdict
{
    private TrustVerdict()
    {
    }

    /// <summary>It belongs to the mesh.</summary>
    /// <param name="Node">Whom it names.</param>
    /// <param name="Roles">What that node may do.</param>
    /// <param name="Issuer">The hub that issued it; null when the trip root did.</param>
    /// <param name="Span">When it holds.</param>
    public sealed record Member(NodeId Node, MeshRoles Roles, NodeId? Issuer, CertificateSpan Span) : TrustVerdict;

    /// <summary>It is none of ours.</summary>
    /// <param name="Words">Why, for a person.</param>
    public sealed record Foreign(string Words) : TrustVerdict;
}
