using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>A camera or recorder that writes cards.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Team">Whose it is.</param>
/// <param name="Load">The same device as a load; null when it is not charged from a bank.</param>
/// <param name="GigabytesPerDay">Decimal gigabytes on an ordinary day.</param>
/// <param name="Spread">Day-to-day standard deviation as a fraction.</param>
/// <param name="CopyRule">The rule its cards are under; null for the trip's rule.</param>
public sealed record FootageSource(KitId Id, KitId Team, KitId? Load, double GigabytesPerDay, double Spread, KitId? CopyRule) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.FootageSource;
}
