using KitMesh.Domain;
using KitMesh.Domain.Kit;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 19 to and from the wire.</summary>
internal static class SharedDangerCodec
{
    public static V1.SharedDanger Write(SharedDanger danger)
    {
        var message = new V1.SharedDanger { Id = danger.Id.Value, Chance = danger.Chance };
        message.Takes.AddRange(danger.Takes.Select(taken => taken.Value));
        return message;
    }

    public static SharedDanger Read(V1.SharedDanger message, FieldReader fields) =>
        new(fields.Id(message.Id, "name"), message.Chance, message.Takes.Select(taken => fields.Id(taken, "what it takes")).ToValueList());
}
