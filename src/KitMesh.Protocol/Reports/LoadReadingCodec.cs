using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 4 to and from the wire.</summary>
internal static class LoadReadingCodec
{
    public static V1.LoadReading Write(LoadReading reading)
    {
        var message = new V1.LoadReading
        {
            Load = reading.Load.Value,
            Activity = (V1.ChargeActivity)(int)reading.Activity,
            Source = ReadingSourceCodec.Write(reading.Source),
        };
        if (reading.Charge is { } charge)
        {
            message.Charge = charge.Value;
        }

        if (reading.Watts is { } watts)
        {
            message.Watts = watts.Value;
        }

        if (reading.EnergyTotal is { } energyTotalWattHours)
        {
            message.EnergyTotalWattHours = energyTotalWattHours.Value;
        }

        if (reading.Temperature is { } celsius)
        {
            message.Celsius = celsius.Value;
        }

        return message;
    }

    public static LoadReading Read(V1.LoadReading message, FieldReader fields)
    {
        return new LoadReading(
            fields.Id(message.Load, "load"),
            Enum.IsDefined((ChargeActivity)(int)message.Activity) ? (ChargeActivity)(int)message.Activity : ChargeActivity.Unknown,
            message.HasCharge ? new StateOfCharge(message.Charge) : null,
            message.HasWatts ? new Watts(message.Watts) : null,
            message.HasEnergyTotalWattHours ? new WattHours(message.EnergyTotalWattHours) : null,
            message.HasCelsius ? new Celsius(message.Celsius) : null,
            ReadingSourceCodec.Read(message.Source));
    }
}
