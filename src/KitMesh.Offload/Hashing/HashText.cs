namespace KitMesh.Offload.Hashing;

/// <summary>One hash of a file, as text.</summary>
/// <param name="Kind">Which hash.</param>
/// <param name="Text">Lower-case hexadecimal, or base 58 for C4.</param>
public sealed record HashText(HashKind Kind, string Text);
