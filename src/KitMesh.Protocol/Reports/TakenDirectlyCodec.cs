using KitMesh.Domain.Reports;
using KitMesh.Protocol.Exchange;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 24 to and from the wire.</summary>
internal static class TakenDirectlyCodec
{
    public static V1.TakenDirectly Write(TakenDirectly taken) => new()
    {
        Node = taken.Origin.Node.Value,
        Epoch = taken.Origin.Epoch,
        First = taken.First,
        Last = taken.Last,
        Contents = HashCodec.Write(taken.Contents),
    };

    public static TakenDirectly Read(V1.TakenDirectly message, FieldReader fields) => new(
        new OriginId(fields.Node(message.Node, "node"), message.Epoch),
        message.First,
        message.Last,
        HashCodec.Read(message.Contents, fields, "contents"));
}
