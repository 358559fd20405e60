using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 18 to and from the wire.</summary>
internal static class KitPlacedCodec
{
    public static V1.KitPlaced Write(KitPlaced placed)
    {
        var message = new V1.KitPlaced
        {
            Item = placed.Item.Value,
            Author = placed.Author,
        };
        if (placed.Into is { } into)
        {
            message.Into = into.Value;
        }

        if (placed.Since is { } sinceUnixNanos)
        {
            message.SinceUnixNanos = Nanoseconds.Of(sinceUnixNanos);
        }

        return message;
    }

    public static KitPlaced Read(V1.KitPlaced message, FieldReader fields)
    {
        return new KitPlaced(
            fields.Id(message.Item, "item"),
            fields.Id(message.HasInto, message.Into, "into"),
            message.Author,
            message.HasSinceUnixNanos ? Nanoseconds.ToInstant(message.SinceUnixNanos) : null);
    }
}
