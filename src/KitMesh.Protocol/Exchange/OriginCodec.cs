using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Exchange;

/// <summary>An origin to and from the wire.</summary>
public static class OriginCodec
{
    /// <summary>To the wire.</summary>
    /// <param name="origin">The origin.</param>
    public static V1.Origin Write(OriginId origin) => new() { Node = origin.Node.Value, Epoch = origin.Epoch };

    /// <summary>From the wire.</summary>
    /// <param name="message">The message, or null when it is missing.</param>
    /// <param name="origin">The origin when there is one.</param>
    /// <returns>Whether there is one.</returns>
    public static bool TryRead(V1.Origin? message, out OriginId origin)
    {
        var fields = new FieldReader();
        origin = Read(message, fields);
        return fields.Fault is null;
    }

    internal static OriginId Read(V1.Origin? message, FieldReader fields)
    {
        if (message is null)
        {
            fields.Blame("origin is missing");
            return default;
        }

        return new OriginId(fields.Node(message.Node, "node"), message.Epoch);
    }
}
