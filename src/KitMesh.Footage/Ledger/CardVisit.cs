using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>One visit of a card to a reader, from mount to removal.</summary>
/// <param name="Index">Its place in the ledger's table.</param>
/// <param name="Card">The card.</param>
/// <param name="Insertion">The visit's name.</param>
internal sealed record CardVisit(int Index, KitId Card, KitId Insertion)
{
    /// <summary>The earliest report of the visit.</summary>
    public long FirstTicks { get; set; } = long.MaxValue;

    /// <summary>What stations said of the card as they mounted it.</summary>
    public List<(PackedStamp Stamp, CardSeen Fact)> Seen { get; } = [];

    /// <summary>Head of the chain of its sightings, or -1.</summary>
    public int FirstSighting { get; set; } = -1;
}
