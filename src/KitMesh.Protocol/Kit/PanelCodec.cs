using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 9 to and from the wire.</summary>
internal static class PanelCodec
{
    public static V1.Panel Write(Panel panel)
    {
        var message = new V1.Panel
        {
            Id = panel.Id.Value,
            Bank = panel.Bank.Value,
            RatedWatts = panel.Rated.Value,
            TiltDegrees = panel.Tilt.Value,
            HeadingDegrees = panel.Heading.Value,
            TemperatureCoefficient = panel.TemperatureCoefficient,
            Derate = panel.Derate,
        };
        if (panel.OpenCircuit is { } openCircuitVolts)
        {
            message.OpenCircuitVolts = openCircuitVolts.Value;
        }

        if (panel.Mass is { } massKilograms)
        {
            message.MassKilograms = massKilograms.Value;
        }

        return message;
    }

    public static Panel Read(V1.Panel message, FieldReader fields)
    {
        return new Panel(
            fields.Id(message.Id, "name"),
            fields.Id(message.Bank, "bank"),
            new Watts(message.RatedWatts),
            new Degrees(message.TiltDegrees),
            new Degrees(message.HeadingDegrees),
            message.TemperatureCoefficient,
            message.Derate,
            message.HasOpenCircuitVolts ? new Volts(message.OpenCircuitVolts) : null,
            message.HasMassKilograms ? new Kilograms(message.MassKilograms) : null);
    }
}
