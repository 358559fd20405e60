using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Reports;

/// <summary>What a pack or bank measures at one moment. Whatever the device does not know is null, never a guess.</summary>
/// <param name="Pack">The pack or bank.</param>
/// <param name="Volts">Terminal voltage.</param>
/// <param name="Amperes">Current; positive charges the pack.</param>
/// <param name="Watts">Power as the device itself states it; positive charges the pack.</param>
/// <param name="Charge">State of charge as the device states it.</param>
/// <param name="Probes">Every temperature probe on the cells, in the device's order; the coldest decides about charging.</param>
/// <param name="LowestCell">Voltage of the lowest cell or cell group.</param>
/// <param name="HighestCell">Voltage of the highest cell or cell group.</param>
/// <param name="Rested">No current has flowed for the rest time of the pack, so that the voltage tells the charge.</param>
/// <param name="Source">How the reading came to be.</param>
public sealed record BatteryReading(
    KitId Pack,
    Volts? Volts,
    Amperes? Amperes,
    Watts? Watts,
    StateOfCharge? Charge,
    ValueList<Celsius> Probes,
    Volts? LowestCell = null,
    Volts? HighestCell = null,
    bool Rested = false,
    ReadingSource Source = ReadingSource.Measured) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.BatteryReading;

    /// <summary>The coldest physical probe, or null without one.</summary>
    public Celsius? ColdestProbe => Extreme(coldest: true);

    /// <summary>The warmest physical probe, or null without one.</summary>
    public Celsius? WarmestProbe => Extreme(coldest: false);

    private Celsius? Extreme(bool coldest)
    {
        Celsius? found = null;
        foreach (Celsius probe in Probes)
        {
            if (probe.IsPhysical && (found is not { } best || (coldest ? probe < best : probe > best)))
            {
                found = probe;
            }
        }

        return found;
    }
}
