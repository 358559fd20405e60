using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Reports;

/// <summary>A thermometer that is not inside a pack.</summary>
/// <param name="Subject">The box, place or thing whose temperature it is.</param>
/// <param name="Sensor">The thermometer, as the device names it.</param>
/// <param name="Temperature">The temperature.</param>
/// <param name="Source">How the reading came to be.</param>
public sealed record TemperatureReading(
    KitId Subject,
    string Sensor,
    Celsius Temperature,
    ReadingSource Source = ReadingSource.Measured) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.TemperatureReading;
}
