namespace KitMesh.Footage.Manifests;

/// <summary>A manifest named by another one, or by a chain file.</summary>
/// <param name="Path">Path of the manifest.</param>
/// <param name="C4">C4 identifier of its bytes.</param>
public sealed record MhlReference(string Path, string C4);
