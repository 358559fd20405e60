using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;

namespace KitMesh.Domain.State;

/// <summary>A hash of a set of facts that grows with each fact in any order: the sum of their SHA-256 values modulo 2^256.</summary>
/// <param name="High">Upper half of the sum.</param>
/// <param name="Low">Lower half of the sum.</param>
/// <remarks>
/// Each fact counts as SHA-256(time in Unix nanoseconds ‖ node ‖ 0 ‖ epoch ‖ sequence ‖ content hash), numbers 8 bytes
/// big-endian. It shows that two honest hubs differ; it is no proof against a forger, which the chain hash is for.
/// </remarks>
public readonly record struct FactSetHash(UInt128 High, UInt128 Low)
{
    /// <summary>The hash with one more fact.</summary>
    /// <param name="stamp">The fact.</param>
    public FactSetHash With(FactStamp stamp)
    {
        Span<byte> bytes = stackalloc byte[8 + 63 + 1 + 8 + 8 + Sha256Hash.Size];
        BinaryPrimitives.WriteInt64BigEndian(bytes, UnixNanoseconds.Of(stamp.Time));
        int at = 8 + Encoding.ASCII.GetBytes(stamp.Key.Origin.Node.Value, bytes[8..]);
        bytes[at++] = 0;
        BinaryPrimitives.WriteUInt64BigEndian(bytes[at..], stamp.Key.Origin.Epoch);
        BinaryPrimitives.WriteUInt64BigEndian(bytes[(at + 8)..], stamp.Key.Sequence);
        stamp.Content.CopyTo(bytes[(at + 16)..]);
        Span<byte> hash = stackalloc byte[Sha256Hash.Size];
        SHA256.HashData(bytes[..(at + 16 + Sha256Hash.Size)], hash);
        Sha256Hash fact = Sha256Hash.Read(hash);
        UInt128 low = unchecked(Low + fact.Low);
        UInt128 carry = low < Low ? UInt128.One : UInt128.Zero;
        return new FactSetHash(unchecked(High + fact.High + carry), low);
    }
}
