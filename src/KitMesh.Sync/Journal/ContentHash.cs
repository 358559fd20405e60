using System.Buffers.Binary;
using System.Security.Cryptography;

namespace KitMesh.Sync.Journal;

/// <summary>SHA-256 over a report's bytes (FIPS 180-4): what tells two reports of one key apart.</summary>
public readonly record struct ContentHash : IComparable<ContentHash>
{
    /// <summary>Bytes in a hash.</summary>
    public const int Size = 32;

    private readonly ulong _a;
    private readonly ulong _b;
    private readonly ulong _c;
    private readonly ulong _d;

    private ContentHash(ReadOnlySpan<byte> hash)
    {
        _a = BinaryPrimitives.ReadUInt64BigEndian(hash);
        _b = BinaryPrimitives.ReadUInt64BigEndian(hash[8..]);
        _c = BinaryPrimitives.ReadUInt64BigEndian(hash[16..]);
        _d = BinaryPrimitives.ReadUInt64BigEndian(hash[24..]);
    }

    /// <summary>The hash of a report.</summary>
    /// <param name="report">Its bytes as the origin encoded them.</param>
    public static ContentHash Of(ReadOnlySpan<byte> report)
    {
        Span<byte> hash = stackalloc byte[Size];
        SHA256.HashData(report, hash);
        return new(hash);
    }

    /// <summary>A hash from its 32 bytes.</summary>
    /// <param name="hash">The bytes.</param>
    /// <exception cref="ArgumentException">There are not 32.</exception>
    public static ContentHash FromBytes(ReadOnlySpan<byte> hash) =>
        hash.Length == Size ? new(hash) : throw new ArgumentException($"A hash has {Size} bytes, not {hash.Length}.", nameof(hash));

    /// <summary>Writes the 32 bytes.</summary>
    /// <param name="into">At least 32 bytes of room.</param>
    public void CopyTo(Span<byte> into)
    {
        BinaryPrimitives.WriteUInt64BigEndian(into, _a);
        BinaryPrimitives.WriteUInt64BigEndian(into[8..], _b);
        BinaryPrimitives.WriteUInt64BigEndian(into[16..], _c);
        BinaryPrimitives.WriteUInt64BigEndian(into[24..], _d);
    }

    /// <summary>The 32 bytes.</summary>
    public byte[] ToArray()
    {
        byte[] hash = new byte[Size];
        CopyTo(hash);
        return hash;
    }

    /// <inheritdoc/>
    public int CompareTo(ContentHash other) =>
        (_a, _b, _c, _d).CompareTo((other._a, other._b, other._c, other._d));

    /// <summary>64 hexadecimal digits.</summary>
    public override string ToString() => Convert.ToHexStringLower(ToArray());
}
