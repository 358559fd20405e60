using Google.Protobuf;
using KitMesh.Domain;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 20 to and from the wire.</summary>
internal static class NodeEnrolledCodec
{
    public static V1.NodeEnrolled Write(NodeEnrolled enrolled) => new()
    {
        Node = enrolled.Node.Value,
        Certificate = ByteString.CopyFrom(enrolled.Certificate.AsSpan()),
        Issuer = ByteString.CopyFrom(enrolled.Issuer.AsSpan()),
    };

    public static NodeEnrolled Read(V1.NodeEnrolled message, FieldReader fields) => new(
        fields.Node(message.Node, "node"),
        ValueList.Create(message.Certificate.Span),
        ValueList.Create(message.Issuer.Span));
}
