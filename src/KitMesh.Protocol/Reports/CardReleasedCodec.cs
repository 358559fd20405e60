using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 19 to and from the wire.</summary>
internal static class CardReleasedCodec
{
    public static V1.CardReleased Write(CardReleased released)
    {
        return new V1.CardReleased
        {
            Card = released.Card.Value,
            Insertion = released.Insertion.Value,
            Author = released.Author,
            Reason = released.Reason,
            Given = released.Given,
        };
    }

    public static CardReleased Read(V1.CardReleased message, FieldReader fields)
    {
        return new CardReleased(
            fields.Id(message.Card, "card"),
            fields.Id(message.Insertion, "insertion"),
            message.Author,
            message.Reason,
            message.Given);
    }
}
