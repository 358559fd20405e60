using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 10 to and from the wire.</summary>
internal static class LoadCodec
{
    public static V1.Load Write(Load load)
    {
        var message = new V1.Load
        {
            Id = load.Id.Value,
            Team = load.Team.Value,
            Bank = load.Bank.Value,
            LoadClass = LoadClassCodec.Write(load.Class),
            Priority = load.Priority,
            PerDayWattHours = load.PerDay.Value,
            Spread = load.Spread,
            Chemistry = (V1.Chemistry)(int)load.Chemistry,
        };
        if (load.Battery is { } batteryWattHours)
        {
            message.BatteryWattHours = batteryWattHours.Value;
        }

        if (load.Charger is { } chargerWatts)
        {
            message.ChargerWatts = chargerWatts.Value;
        }

        return message;
    }

    public static Load Read(V1.Load message, FieldReader fields)
    {
        return new Load(
            fields.Id(message.Id, "name"),
            fields.Id(message.Team, "team"),
            fields.Id(message.Bank, "bank"),
            LoadClassCodec.Read(message.LoadClass, fields),
            message.Priority,
            new WattHours(message.PerDayWattHours),
            message.Spread,
            message.HasBatteryWattHours ? new WattHours(message.BatteryWattHours) : null,
            message.HasChargerWatts ? new Watts(message.ChargerWatts) : null,
            Enum.IsDefined((Chemistry)(int)message.Chemistry) ? (Chemistry)(int)message.Chemistry : Chemistry.Unknown);
    }
}
