using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>When a node was heard last.</summary>
/// <param name="Node">The node.</param>
/// <param name="LastHeard">When its newest report was written.</param>
/// <param name="Age">How long ago, in words.</param>
/// <param name="Clock">How its clock stands, in words.</param>
public sealed record NewsRow(NodeId Node, Instant LastHeard, string Age, string Clock);
