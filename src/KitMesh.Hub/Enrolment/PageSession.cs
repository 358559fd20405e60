using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Hub.Enrolment;

/// <summary>A browser that joined with a one-time link.</summary>
/// <param name="Token">SHA-256 of its token; the token itself is in the browser's cookie and nowhere else.</param>
/// <param name="Node">Whose browser it is.</param>
/// <param name="Roles">What it may do: read, write, or both.</param>
/// <param name="Span">How long it holds.</param>
internal sealed record PageSession(Sha256Hash Token, NodeId Node, MeshRoles Roles, CertificateSpan Span);
