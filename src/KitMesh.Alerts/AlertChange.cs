using KitMesh.Domain.Results;

namespace KitMesh.Alerts;

/// <summary>One step in an alert's life.</summary>
/// <param name="Alert">The alert, with its newest figures.</param>
/// <param name="Phase">What became of it.</param>
public sealed record AlertChange(Alert Alert, AlertPhase Phase);
