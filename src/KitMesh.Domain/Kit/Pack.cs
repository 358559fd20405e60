using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>A battery pack.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Bank">The bank it belongs to; null for a pack used alone.</param>
/// <param name="Chemistry">Its chemistry.</param>
/// <param name="Series">Cells or cell groups in series, from 1.</param>
/// <param name="Capacity">Rated charge at 25 °C.</param>
/// <param name="Resistance">Internal resistance at 25 °C; null to use the chemistry's typical value.</param>
/// <param name="MinChargeTemperature">The maker's lower limit for charging; null to use the chemistry's.</param>
/// <param name="MaxChargeTemperature">The maker's upper limit for charging; null to use the chemistry's.</param>
/// <param name="MaxCellVolts">The maker's highest cell voltage; null to use the chemistry's.</param>
/// <param name="Mass">What it weighs.</param>
public sealed record Pack(
    KitId Id,
    KitId? Bank,
    Chemistry Chemistry,
    int Series,
    AmpereHours Capacity,
    Ohms? Resistance,
    Celsius? MinChargeTemperature,
    Celsius? MaxChargeTemperature,
    Volts? MaxCellVolts,
    Kilograms? Mass) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Pack;
}
