namespace KitMesh.Footage.Manifests;

/// <summary>One line of a bag's manifest.</summary>
/// <param name="Path">Path from the bag's folder, '/' between its parts.</param>
/// <param name="Hash">Lower-case hexadecimal.</param>
public sealed record BagItEntry(string Path, string Hash);
