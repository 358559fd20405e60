using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 8 to and from the wire.</summary>
internal static class BoxCodec
{
    public static V1.Box Write(Box box)
    {
        return new V1.Box
        {
            Id = box.Id.Value,
            LossWattsPerKelvin = box.Loss.Value,
            CapacityJoulesPerKelvin = box.Capacity.Value,
            HeaterWatts = box.Heater.Value,
            HeaterOnCelsius = box.HeaterOn.Value,
            HeaterOffCelsius = box.HeaterOff.Value,
        };
    }

    public static Box Read(V1.Box message, FieldReader fields)
    {
        return new Box(
            fields.Id(message.Id, "name"),
            new WattsPerKelvin(message.LossWattsPerKelvin),
            new JoulesPerKelvin(message.CapacityJoulesPerKelvin),
            new Watts(message.HeaterWatts),
            new Celsius(message.HeaterOnCelsius),
            new Celsius(message.HeaterOffCelsius));
    }
}
