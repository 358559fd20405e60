using KitMesh.Domain;
using NodaTime;

namespace KitMesh.Footage.Manifests;

/// <summary>One file in an ASC MHL manifest.</summary>
/// <param name="Path">Relative to the folder that holds the history, '/' between its parts, no "..".</param>
/// <param name="Size">Bytes, where told.</param>
/// <param name="Modified">Last write, where told.</param>
/// <param name="Hashes">Its hashes.</param>
/// <param name="PreviousPath">Where it was before it was moved or renamed.</param>
public sealed record MhlEntry(string Path, long? Size, Instant? Modified, ValueList<MhlHash> Hashes, string? PreviousPath = null);
