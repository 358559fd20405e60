namespace KitMesh.Export.Handover;

/// <summary>One file of a handover.</summary>
/// <param name="Path">Path from the handover's folder, '/' between its parts.</param>
/// <param name="Bytes">Its bytes.</param>
public sealed record HandoverFile(string Path, byte[] Bytes);
