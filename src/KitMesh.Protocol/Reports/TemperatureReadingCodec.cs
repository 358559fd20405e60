using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 2 to and from the wire.</summary>
internal static class TemperatureReadingCodec
{
    public static V1.TemperatureReading Write(TemperatureReading reading) => new()
    {
        Subject = reading.Subject.Value,
        Sensor = reading.Sensor,
        Celsius = reading.Temperature.Value,
        Source = ReadingSourceCodec.Write(reading.Source),
    };

    public static TemperatureReading Read(V1.TemperatureReading message, FieldReader fields)
    {
        // An absent temperature is not 0 °C: NaN marks the reading as odd and keeps it out of the models.
        double celsius = message.HasCelsius ? message.Celsius : double.NaN;
        return new TemperatureReading(
            fields.Id(message.Subject, "subject"),
            message.Sensor,
            new Celsius(celsius),
            ReadingSourceCodec.Read(message.Source));
    }
}
