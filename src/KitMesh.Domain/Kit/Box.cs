using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>An insulated box for a bank, with a heater and a thermometer or without.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Loss">UA: heat that leaves per kelvin.</param>
/// <param name="Capacity">C: heat that warms its content by a kelvin.</param>
/// <param name="Heater">Power of the heater; zero without one.</param>
/// <param name="HeaterOn">The heater starts below this. Common practice, no published source: 4 to 5 °C.</param>
/// <param name="HeaterOff">The heater stops above this. Common practice, no published source: about 15 °C.</param>
public sealed record Box(
    KitId Id,
    WattsPerKelvin Loss,
    JoulesPerKelvin Capacity,
    Watts Heater,
    Celsius HeaterOn,
    Celsius HeaterOff) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Box;
}
