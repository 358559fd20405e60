namespace KitMesh.Hub.Pages;

/// <summary>One report as the page shows it.</summary>
/// <param name="Written">When it was written, as the mesh believes.</param>
/// <param name="Kind">Its kind.</param>
/// <param name="Node">Who wrote it.</param>
/// <param name="Sequence">Its number inside its origin.</param>
/// <param name="Odd">What cannot be right about it; empty when nothing.</param>
/// <param name="Body">What it says, as JSON.</param>
public sealed record ReportRow(string Written, string Kind, string Node, ulong Sequence, string Odd, string Body);
