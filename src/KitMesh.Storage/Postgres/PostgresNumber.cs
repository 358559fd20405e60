using System.Buffers.Binary;

namespace KitMesh.Storage.Postgres;

/// <summary>Unsigned numbers in columns that sort as the numbers do: 64 bits as a signed number with the top bit turned over, 128 bits as a UUID.</summary>
internal static class PostgresNumber
{
    private const ulong Top = 1UL << 63;

    /// <summary>For the database.</summary>
    public static long Signed(ulong value) => unchecked((long)(value ^ Top));

    /// <summary>The first half of a content's hash, for the database.</summary>
    public static Guid Content(UInt128 value)
    {
        Span<byte> bytes = stackalloc byte[16];
        BinaryPrimitives.WriteUInt128BigEndian(bytes, value);
        return new Guid(bytes, bigEndian: true);
    }

    /// <summary>From the database.</summary>
    public static ulong Unsigned(long value) => unchecked((ulong)value ^ Top);
}
