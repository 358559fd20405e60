using KitMesh.Domain.Kit;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 15 to and from the wire.</summary>
internal static class CaseCodec
{
    public static V1.Case Write(Case theCase)
    {
        var message = new V1.Case
        {
            Id = theCase.Id.Value,
            LossChance = theCase.LossChance,
        };
        if (theCase.Carrier is { } carrier)
        {
            message.Carrier = carrier.Value;
        }

        return message;
    }

    public static Case Read(V1.Case message, FieldReader fields)
    {
        return new Case(
            fields.Id(message.Id, "name"),
            fields.Id(message.HasCarrier, message.Carrier, "carrier"),
            message.LossChance);
    }
}
