namespace KitMesh.Storage.Queries;

/// <summary>Sequences without a gap.</summary>
/// <param name="First">The first.</param>
/// <param name="Last">The last, included.</param>
public readonly record struct SequenceRange(ulong First, ulong Last);
