using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Reports;

/// <summary>What a panel, or the controller input it hangs on, gives at one moment.</summary>
/// <param name="Panel">The panel.</param>
/// <param name="Volts">Voltage at the controller's input.</param>
/// <param name="Amperes">Current into the controller; not negative.</param>
/// <param name="Watts">Power into the controller as the device states it.</param>
/// <param name="YieldTotal">The controller's energy counter since it was made or reset; steps back when it is reset.</param>
/// <param name="SunHours">Hours that the panel stood in the sun today, typed by a person without a controller that counts.</param>
/// <param name="Source">How the reading came to be.</param>
public sealed record PanelReading(
    KitId Panel,
    Volts? Volts,
    Amperes? Amperes,
    Watts? Watts,
    WattHours? YieldTotal,
    double? SunHours = null,
    ReadingSource Source = ReadingSource.Measured) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.PanelReading;
}
