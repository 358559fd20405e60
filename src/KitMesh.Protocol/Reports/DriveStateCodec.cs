using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 11 to and from the wire.</summary>
internal static class DriveStateCodec
{
    public static V1.DriveState Write(DriveState state)
    {
        var message = new V1.DriveState
        {
            Drive = state.Drive.Value,
            CapacityBytes = state.Capacity.Value,
            FreeBytes = state.Free.Value,
            Health = (V1.DriveHealth)(int)state.Health,
        };
        if (state.Temperature is { } celsius)
        {
            message.Celsius = celsius.Value;
        }

        if (state.Identity is { } identity)
        {
            message.Identity = identity;
        }

        if (state.MoveCost is { } cost)
        {
            message.JoulesPerGigabyte = cost.Value;
        }

        return message;
    }

    public static DriveState Read(V1.DriveState message, FieldReader fields)
    {
        return new DriveState(
            fields.Id(message.Drive, "drive"),
            new ByteCount(message.CapacityBytes),
            new ByteCount(message.FreeBytes),
            Enum.IsDefined((DriveHealth)(int)message.Health) ? (DriveHealth)(int)message.Health : DriveHealth.Unknown,
            message.HasCelsius ? new Celsius(message.Celsius) : null,
            message.HasIdentity ? message.Identity : null)
        {
            MoveCost = message.HasJoulesPerGigabyte ? new JoulesPerGigabyte(message.JoulesPerGigabyte) : null,
        };
    }
}
