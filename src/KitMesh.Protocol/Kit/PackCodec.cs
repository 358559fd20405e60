using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 7 to and from the wire.</summary>
internal static class PackCodec
{
    public static V1.Pack Write(Pack pack)
    {
        var message = new V1.Pack
        {
            Id = pack.Id.Value,
            Chemistry = (V1.Chemistry)(int)pack.Chemistry,
            Series = pack.Series,
            CapacityAmpereHours = pack.Capacity.Value,
        };
        if (pack.Bank is { } bank)
        {
            message.Bank = bank.Value;
        }

        if (pack.Resistance is { } resistanceOhms)
        {
            message.ResistanceOhms = resistanceOhms.Value;
        }

        if (pack.MinChargeTemperature is { } minChargeCelsius)
        {
            message.MinChargeCelsius = minChargeCelsius.Value;
        }

        if (pack.MaxChargeTemperature is { } maxChargeCelsius)
        {
            message.MaxChargeCelsius = maxChargeCelsius.Value;
        }

        if (pack.MaxCellVolts is { } maxCellVolts)
        {
            message.MaxCellVolts = maxCellVolts.Value;
        }

        if (pack.Mass is { } massKilograms)
        {
            message.MassKilograms = massKilograms.Value;
        }

        return message;
    }

    public static Pack Read(V1.Pack message, FieldReader fields)
    {
        return new Pack(
            fields.Id(message.Id, "name"),
            fields.Id(message.HasBank, message.Bank, "bank"),
            Enum.IsDefined((Chemistry)(int)message.Chemistry) ? (Chemistry)(int)message.Chemistry : Chemistry.Unknown,
            message.Series,
            new AmpereHours(message.CapacityAmpereHours),
            message.HasResistanceOhms ? new Ohms(message.ResistanceOhms) : null,
            message.HasMinChargeCelsius ? new Celsius(message.MinChargeCelsius) : null,
            message.HasMaxChargeCelsius ? new Celsius(message.MaxChargeCelsius) : null,
            message.HasMaxCellVolts ? new Volts(message.MaxCellVolts) : null,
            message.HasMassKilograms ? new Kilograms(message.MassKilograms) : null);
    }
}
