using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Hub.Enrolment;

/// <summary>A node that was let in, by its newest certificate.</summary>
internal sealed record EnrolledMember(NodeId Node, MeshRoles Roles, NodeId? Issuer, CertificateSpan Span, Sha256Hash Pin) : IComparable<EnrolledMember>
{
    /// <summary>By end of time, then by key, so that every hub picks the same one.</summary>
    public int CompareTo(EnrolledMember? other)
    {
        int byEnd = other is null ? 1 : Span.Until.CompareTo(other.Span.Until);
        return byEnd != 0 ? byEnd : Pin.CompareTo(other!.Pin);
    }
}
