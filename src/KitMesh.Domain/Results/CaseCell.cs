using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>One cell of the day × case grid.</summary>
/// <param name="Case">The case; null for drives that are in no declared case.</param>
/// <param name="Clips">Clips of that day with at least one proven copy in that case.</param>
/// <param name="Copies">Proven copies of that day's clips in that case.</param>
public sealed record CaseCell(KitId? Case, int Clips, int Copies);
