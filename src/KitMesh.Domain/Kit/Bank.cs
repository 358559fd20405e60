using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>Packs joined in parallel, from which a team charges.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Team">Whose it is.</param>
/// <param name="Box">The insulated box it rides in; null when it stands in the open.</param>
/// <param name="ArrivalCharge">State of charge on the first day; freight may require 0.3 or less.</param>
/// <param name="Reserve">State of charge under which the bank counts as run short, kept for life-safety loads.</param>
/// <param name="MaxPanelVolts">Highest panel voltage that its controller stands, from the maker's sheet.</param>
/// <param name="MaxChargeAmperes">Highest current that its controller gives.</param>
public sealed record Bank(
    KitId Id,
    KitId Team,
    KitId? Box,
    StateOfCharge ArrivalCharge,
    StateOfCharge Reserve,
    Volts? MaxPanelVolts,
    Amperes? MaxChargeAmperes) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Bank;
}
