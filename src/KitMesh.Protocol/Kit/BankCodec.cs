using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 6 to and from the wire.</summary>
internal static class BankCodec
{
    public static V1.Bank Write(Bank bank)
    {
        var message = new V1.Bank
        {
            Id = bank.Id.Value,
            Team = bank.Team.Value,
            ArrivalCharge = bank.ArrivalCharge.Value,
            Reserve = bank.Reserve.Value,
        };
        if (bank.Box is { } box)
        {
            message.Box = box.Value;
        }

        if (bank.MaxPanelVolts is { } maxPanelVolts)
        {
            message.MaxPanelVolts = maxPanelVolts.Value;
        }

        if (bank.MaxChargeAmperes is { } maxChargeAmperes)
        {
            message.MaxChargeAmperes = maxChargeAmperes.Value;
        }

        return message;
    }

    public static Bank Read(V1.Bank message, FieldReader fields)
    {
        return new Bank(
            fields.Id(message.Id, "name"),
            fields.Id(message.Team, "team"),
            fields.Id(message.HasBox, message.Box, "box"),
            new StateOfCharge(message.ArrivalCharge),
            new StateOfCharge(message.Reserve),
            message.HasMaxPanelVolts ? new Volts(message.MaxPanelVolts) : null,
            message.HasMaxChargeAmperes ? new Amperes(message.MaxChargeAmperes) : null);
    }
}
