using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 1 to and from the wire.</summary>
internal static class BatteryReadingCodec
{
    public static V1.BatteryReading Write(BatteryReading reading)
    {
        var message = new V1.BatteryReading
        {
            Pack = reading.Pack.Value,
            Rested = reading.Rested,
            Source = ReadingSourceCodec.Write(reading.Source),
        };
        if (reading.Volts is { } volts)
        {
            message.Volts = volts.Value;
        }

        if (reading.Amperes is { } amperes)
        {
            message.Amperes = amperes.Value;
        }

        if (reading.Watts is { } watts)
        {
            message.Watts = watts.Value;
        }

        if (reading.Charge is { } charge)
        {
            message.Charge = charge.Value;
        }

        message.ProbesCelsius.AddRange(reading.Probes.Select(value => value.Value));
        if (reading.LowestCell is { } lowestCellVolts)
        {
            message.LowestCellVolts = lowestCellVolts.Value;
        }

        if (reading.HighestCell is { } highestCellVolts)
        {
            message.HighestCellVolts = highestCellVolts.Value;
        }

        return message;
    }

    public static BatteryReading Read(V1.BatteryReading message, FieldReader fields)
    {
        return new BatteryReading(
            fields.Id(message.Pack, "pack"),
            message.HasVolts ? new Volts(message.Volts) : null,
            message.HasAmperes ? new Amperes(message.Amperes) : null,
            message.HasWatts ? new Watts(message.Watts) : null,
            message.HasCharge ? new StateOfCharge(message.Charge) : null,
            message.ProbesCelsius.Select(value => new Celsius(value)).ToValueList(),
            message.HasLowestCellVolts ? new Volts(message.LowestCellVolts) : null,
            message.HasHighestCellVolts ? new Volts(message.HighestCellVolts) : null,
            message.Rested,
            ReadingSourceCodec.Read(message.Source));
    }
}
