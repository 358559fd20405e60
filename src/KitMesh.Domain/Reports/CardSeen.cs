using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Reports;

/// <summary>A card was put into a reader. An insertion is one visit of a card, from mount to removal.</summary>
/// <param name="Card">The card, as the station knows it.</param>
/// <param name="Insertion">Names this visit; clips found on it carry the same name.</param>
/// <param name="Source">The camera or recorder that writes the card, where known.</param>
/// <param name="Capacity">Size of its file system.</param>
/// <param name="Used">Bytes in use.</param>
/// <param name="Files">Media files found on it.</param>
public sealed record CardSeen(
    KitId Card,
    KitId Insertion,
    KitId? Source,
    ByteCount Capacity,
    ByteCount Used,
    int Files) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.CardSeen;
}
