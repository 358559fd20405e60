using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>A card that a camera or recorder writes.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Source">The device that writes it; null when it goes round.</param>
/// <param name="Capacity">Its size.</param>
public sealed record Card(KitId Id, KitId? Source, ByteCount Capacity) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Card;
}
