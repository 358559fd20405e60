using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Hub.Views;

/// <summary>An alert with who raised it.</summary>
/// <param name="Alert">The alert.</param>
/// <param name="RaisedBy">The agent that raised it by itself; null when this hub found it.</param>
internal sealed record StandingAlert(Alert Alert, NodeId? RaisedBy);
