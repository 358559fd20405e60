using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 10 to and from the wire.</summary>
internal static class CardFormattedCodec
{
    public static V1.CardFormatted Write(CardFormatted formatted)
    {
        var message = new V1.CardFormatted
        {
            Card = formatted.Card.Value,
            Inferred = formatted.Inferred,
        };
        if (formatted.LastInsertion is { } lastInsertion)
        {
            message.LastInsertion = lastInsertion.Value;
        }

        return message;
    }

    public static CardFormatted Read(V1.CardFormatted message, FieldReader fields)
    {
        return new CardFormatted(
            fields.Id(message.Card, "card"),
            fields.Id(message.HasLastInsertion, message.LastInsertion, "last insertion"),
            message.Inferred);
    }
}
