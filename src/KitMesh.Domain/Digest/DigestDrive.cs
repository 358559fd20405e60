using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Digest;

/// <summary>One drive in a digest line.</summary>
/// <param name="Drive">The drive.</param>
/// <param name="FillsInDays">Days until it is full with chance one half, up to 62; null when not before the last day.</param>
/// <param name="FullByLastDay">The chance that it is full before the last day ends; null when not known.</param>
public sealed record DigestDrive(NameTag Drive, int? FillsInDays, Probability? FullByLastDay);
