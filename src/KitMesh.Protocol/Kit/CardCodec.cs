using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 13 to and from the wire.</summary>
internal static class CardCodec
{
    public static V1.Card Write(Card card)
    {
        var message = new V1.Card
        {
            Id = card.Id.Value,
            CapacityBytes = card.Capacity.Value,
        };
        if (card.Source is { } source)
        {
            message.Source = source.Value;
        }

        return message;
    }

    public static Card Read(V1.Card message, FieldReader fields)
    {
        return new Card(
            fields.Id(message.Id, "name"),
            fields.Id(message.HasSource, message.Source, "source"),
            new ByteCount(message.CapacityBytes));
    }
}
