using KitMesh.Domain.State;
using NodaTime;

namespace KitMesh.Hub.Hindsight;

/// <summary>A report, and when the hub had it.</summary>
/// <param name="Known">When it had arrived, by the hub's clock.</param>
/// <param name="Report">The report.</param>
public readonly record struct KnownReport(Instant Known, ContentReport Report);
