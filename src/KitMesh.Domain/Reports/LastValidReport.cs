namespace KitMesh.Domain.Reports;

/// <summary>Where an origin of a revoked node ends.</summary>
/// <param name="Epoch">The origin's epoch.</param>
/// <param name="Sequence">The last sequence that counts; 0 for none.</param>
public readonly record struct LastValidReport(ulong Epoch, ulong Sequence);
