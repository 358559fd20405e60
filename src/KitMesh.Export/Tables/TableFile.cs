namespace KitMesh.Export.Tables;

/// <summary>One part file of an export.</summary>
/// <param name="Path">Below the export's folder, with slashes.</param>
/// <param name="Rows">Rows in it.</param>
/// <param name="Bytes">Its size.</param>
/// <param name="Sha256">Hash of its bytes, lower-case hexadecimal.</param>
public sealed record TableFile(string Path, long Rows, long Bytes, string Sha256);
