using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 3 to and from the wire.</summary>
internal static class PanelReadingCodec
{
    public static V1.PanelReading Write(PanelReading reading)
    {
        var message = new V1.PanelReading
        {
            Panel = reading.Panel.Value,
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

        if (reading.YieldTotal is { } yieldTotalWattHours)
        {
            message.YieldTotalWattHours = yieldTotalWattHours.Value;
        }

        if (reading.SunHours is { } sunHours)
        {
            message.SunHours = sunHours;
        }

        return message;
    }

    public static PanelReading Read(V1.PanelReading message, FieldReader fields)
    {
        return new PanelReading(
            fields.Id(message.Panel, "panel"),
            message.HasVolts ? new Volts(message.Volts) : null,
            message.HasAmperes ? new Amperes(message.Amperes) : null,
            message.HasWatts ? new Watts(message.Watts) : null,
            message.HasYieldTotalWattHours ? new WattHours(message.YieldTotalWattHours) : null,
            message.HasSunHours ? message.SunHours : null,
            ReadingSourceCodec.Read(message.Source));
    }
}
