using Google.Protobuf;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Exchange;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 23 to and from the wire.</summary>
internal static class OriginSealedCodec
{
    public static V1.OriginSealed Write(OriginSealed seal) => new()
    {
        Sequence = seal.Sequence,
        Chain = HashCodec.Write(seal.Chain),
        Signature = ByteString.CopyFrom(seal.Signature.AsSpan()),
    };

    public static OriginSealed Read(V1.OriginSealed message, FieldReader fields) => new(
        message.Sequence,
        HashCodec.Read(message.Chain, fields, "chain"),
        ValueList.Create(message.Signature.Span));
}
