using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>Every report about one card.</summary>
/// <param name="Card">The card.</param>
internal sealed record CardFacts(KitId Card)
{
    public Dictionary<KitId, CardVisit> Visits { get; } = [];

    public List<(PackedStamp Stamp, CardFormatted Fact)> Formats { get; } = [];

    public List<(PackedStamp Stamp, CardReleased Fact)> Releases { get; } = [];

    /// <summary>Files on it that could not be read or changed while they were read.</summary>
    public List<(PackedStamp Stamp, CopyFailed Fact)> Faults { get; } = [];
}
