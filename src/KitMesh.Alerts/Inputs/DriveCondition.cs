using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Alerts.Inputs;

/// <summary>The newest state of a drive.</summary>
/// <param name="Drive">The drive.</param>
/// <param name="Capacity">Size of its file system.</param>
/// <param name="Free">Bytes free.</param>
/// <param name="At">When it was seen so.</param>
/// <param name="PerDay">Bytes that a day adds to it; null when not known.</param>
public sealed record DriveCondition(KitId Drive, ByteCount Capacity, ByteCount Free, Instant At, ByteCount? PerDay = null);
