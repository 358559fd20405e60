using System.Buffers.Binary;
using System.Text;
using KitMesh.Domain.Reports;

namespace KitMesh.Storage.LiteDb;

/// <summary>Binary keys whose byte order is the order of (origin, sequence): node, a zero byte, epoch and sequence big-endian.</summary>
internal static class SegmentKey
{
    private const int TailLength = 1 + (2 * sizeof(ulong));

    /// <summary>The key of a segment.</summary>
    public static byte[] Of(OriginId origin, ulong first)
    {
        string node = origin.Node.Value;
        byte[] key = new byte[node.Length + TailLength];
        Encoding.ASCII.GetBytes(node, key);
        BinaryPrimitives.WriteUInt64BigEndian(key.AsSpan(node.Length + 1), origin.Epoch);
        BinaryPrimitives.WriteUInt64BigEndian(key.AsSpan(node.Length + 1 + sizeof(ulong)), first);
        return key;
    }

    /// <summary>The key of a fork: the key of its sequence, then its content's hash.</summary>
    public static byte[] OfFork(OriginId origin, ulong sequence, Sha256Hash content) => [.. Of(origin, sequence), .. content.ToArray()];

    /// <summary>Reads a key back.</summary>
    /// <exception cref="InvalidDataException">This is no key.</exception>
    public static (OriginId Origin, ulong First) Read(ReadOnlySpan<byte> key)
    {
        int end = key.IndexOf((byte)0);
        if (end < 1 || key.Length < end + TailLength || !NodeId.TryParse(Encoding.ASCII.GetString(key[..end]), out NodeId node))
        {
            throw new InvalidDataException("A stored key names no origin.");
        }

        ulong epoch = BinaryPrimitives.ReadUInt64BigEndian(key[(end + 1)..]);
        return (new OriginId(node, epoch), BinaryPrimitives.ReadUInt64BigEndian(key[(end + 1 + sizeof(ulong))..]));
    }
}
