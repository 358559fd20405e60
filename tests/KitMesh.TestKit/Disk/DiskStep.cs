namespace KitMesh.TestKit.Disk;

/// <summary>One operation that a simulated disk is about to do.</summary>
/// <param name="Number">Counts from 1.</param>
/// <param name="Kind">What it is.</param>
/// <param name="Path">The file or directory.</param>
public readonly record struct DiskStep(long Number, DiskStepKind Kind, string Path);
