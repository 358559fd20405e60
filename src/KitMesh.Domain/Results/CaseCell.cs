using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>One cell of the day × case grid.</summary>
/// <param name="Case">The case; null for drives that are in no declared case.</param>
/// <param name="Clips">Clips of that day with at least one proven copy in that case.</param>
/// <param name="Copies">Proven copies of that day's clips in that case.</param>
public sealed record CaseCell(KitId? Case, int Clips, int Copies)
{
    /// <summary>Further clips with a copy in that case whose proof is only too old: there, and to be rechecked.</summary>
    public int OverdueClips { get; init; }
}
