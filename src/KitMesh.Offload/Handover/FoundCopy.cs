using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Handover;

/// <summary>A file whose bytes are those of an expected clip.</summary>
/// <param name="Root">The folder that was looked through.</param>
/// <param name="Path">Path in it.</param>
/// <param name="Clip">The clip.</param>
/// <param name="Level">How surely the bytes came from the medium.</param>
public sealed record FoundCopy(string Root, string Path, ClipHash Clip, ReadBackLevel Level);
