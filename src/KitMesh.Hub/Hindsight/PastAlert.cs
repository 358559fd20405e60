using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Hub.Hindsight;

/// <summary>An alert that a hub stood by for a while.</summary>
/// <param name="Alert">The alert, with its last words.</param>
/// <param name="Until">When it was cleared; null when it still stood at the end.</param>
public sealed record PastAlert(Alert Alert, Instant? Until);
