using Google.Protobuf;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Exchange;

/// <summary>A SHA-256 value as 32 bytes.</summary>
internal static class HashCodec
{
    public static ByteString Write(Sha256Hash hash)
    {
        Span<byte> bytes = stackalloc byte[Sha256Hash.Size];
        hash.CopyTo(bytes);
        return ByteString.CopyFrom(bytes);
    }

    public static Sha256Hash Read(ByteString bytes, FieldReader fields, string field)
    {
        if (!Sha256Hash.TryRead(bytes.Span, out Sha256Hash hash))
        {
            fields.Blame($"{field} has {bytes.Length} bytes instead of {Sha256Hash.Size}");
        }

        return hash;
    }
}
