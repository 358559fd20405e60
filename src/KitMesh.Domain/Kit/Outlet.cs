using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>Where one device can be plugged in.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Bank">The bank behind it.</param>
/// <param name="Limit">Highest power that it gives.</param>
/// <param name="Efficiency">Share of the bank's energy that reaches the plug, from 0 to 1.</param>
public sealed record Outlet(KitId Id, KitId Bank, Watts Limit, double Efficiency) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Outlet;
}
