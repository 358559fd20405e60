namespace KitMesh.Offload.Handover;

/// <summary>A file that should be a clip and is not, or could not be read.</summary>
/// <param name="Root">The folder that was looked through.</param>
/// <param name="Path">Path in it.</param>
/// <param name="Why">What is wrong.</param>
public sealed record BadFile(string Root, string Path, string Why);
