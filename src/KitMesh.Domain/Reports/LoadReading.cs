using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Reports;

/// <summary>The charge state or draw of a device that must be charged or fed.</summary>
/// <param name="Load">The device.</param>
/// <param name="Activity">What it is doing.</param>
/// <param name="Charge">State of charge of its own battery.</param>
/// <param name="Watts">Power that it draws from the bank.</param>
/// <param name="EnergyTotal">Counter of energy drawn, where an outlet counts.</param>
/// <param name="Temperature">Temperature of its own battery.</param>
/// <param name="Source">How the reading came to be.</param>
public sealed record LoadReading(
    KitId Load,
    ChargeActivity Activity,
    StateOfCharge? Charge,
    Watts? Watts,
    WattHours? EnergyTotal,
    Celsius? Temperature,
    ReadingSource Source = ReadingSource.Measured) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.LoadReading;
}
