using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Storage;

/// <summary>A report as the store keeps it.</summary>
/// <param name="Raw">The original bytes.</param>
/// <param name="Time">The time that the mesh believes it was written at.</param>
/// <param name="Arrived">When this node journalled it.</param>
public sealed record KeptReport(RawReport Raw, Instant Time, Instant Arrived);
