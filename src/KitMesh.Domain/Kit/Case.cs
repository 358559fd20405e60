using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>What gets lost or wet as one.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Carrier">The team or person who has it on the first day.</param>
/// <param name="LossChance">Chance that it is lost, soaked or crushed during the trip, from 0 to 1.</param>
public sealed record Case(KitId Id, KitId? Carrier, double LossChance) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Case;
}
