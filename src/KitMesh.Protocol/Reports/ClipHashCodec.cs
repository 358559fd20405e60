using System.Buffers.Binary;
using Google.Protobuf;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>A content hash as 16 bytes, big-endian.</summary>
internal static class ClipHashCodec
{
    public static ByteString Write(ClipHash clip)
    {
        Span<byte> bytes = stackalloc byte[16];
        BinaryPrimitives.WriteUInt128BigEndian(bytes, clip.Value);
        return ByteString.CopyFrom(bytes);
    }
}
