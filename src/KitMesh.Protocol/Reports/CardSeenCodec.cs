using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 5 to and from the wire.</summary>
internal static class CardSeenCodec
{
    public static V1.CardSeen Write(CardSeen seen)
    {
        var message = new V1.CardSeen
        {
            Card = seen.Card.Value,
            Insertion = seen.Insertion.Value,
            CapacityBytes = seen.Capacity.Value,
            UsedBytes = seen.Used.Value,
            Files = seen.Files,
        };
        if (seen.Source is { } source)
        {
            message.Source = source.Value;
        }

        return message;
    }

    public static CardSeen Read(V1.CardSeen message, FieldReader fields)
    {
        return new CardSeen(
            fields.Id(message.Card, "card"),
            fields.Id(message.Insertion, "insertion"),
            fields.Id(message.HasSource, message.Source, "source"),
            new ByteCount(message.CapacityBytes),
            new ByteCount(message.UsedBytes),
            message.Files);
    }
}
