using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Hub.Enrolment;

/// <summary>Who makes a call.</summary>
/// <param name="Node">The node that its certificate or session names.</param>
/// <param name="Roles">What it may do.</param>
/// <param name="Issuer">The hub that let it in; null when the trip root did.</param>
/// <param name="Way">How it proved who it is.</param>
internal sealed record Caller(NodeId Node, MeshRoles Roles, NodeId? Issuer, CallerWay Way)
{
    /// <summary>Whether it may do what one of these roles may.</summary>
    public bool HasAny(MeshRoles roles) => (Roles & roles) != MeshRoles.None;

    /// <summary>Whether it may hand over reports of a node.</summary>
    public bool MayWrite(NodeId node) => HasAny(MeshRoles.Hub) || (node == Node && HasAny(MeshRoles.Writer | MeshRoles.Keeper));
}
