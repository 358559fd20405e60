namespace KitMesh.Footage.Manifests;

/// <summary>The two hashes of one directory in an ASC MHL manifest, in one format.</summary>
/// <param name="Path">Relative to the folder that holds the history; empty for that folder itself (its <c>roothash</c>).</param>
/// <param name="Format">One of <see cref="MhlManifest.Formats"/>.</param>
/// <param name="Content">Changes when the content of a file below it changes, or where files lie; not when one is renamed.</param>
/// <param name="Structure">Changes when content, places or names change.</param>
public sealed record MhlDirectory(string Path, string Format, string Content, string Structure);
