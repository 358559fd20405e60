using System.Buffers.Binary;
using System.Text;

namespace KitMesh.Domain.Reports;

/// <summary>What a seal signs: "kitmesh seal 1" ‖ 00 ‖ node ‖ 00 ‖ epoch ‖ sequence ‖ chain hash, numbers 8 bytes big-endian.</summary>
/// <remarks>
/// The words before are so that no other signature by the same key, in a handshake or a request for a certificate, can be
/// shown as a seal.
/// </remarks>
public static class SealMessage
{
    private static readonly byte[] Start = Encoding.ASCII.GetBytes("kitmesh seal 1\0");

    /// <summary>The message.</summary>
    /// <param name="origin">The writer's origin.</param>
    /// <param name="sequence">The last sequence that is signed.</param>
    /// <param name="chain">The chain hash there.</param>
    public static byte[] Of(OriginId origin, ulong sequence, Sha256Hash chain)
    {
        byte[] node = Encoding.ASCII.GetBytes(origin.Node.Value);
        byte[] message = new byte[Start.Length + node.Length + 1 + sizeof(ulong) + sizeof(ulong) + Sha256Hash.Size];
        Start.CopyTo(message, 0);
        node.CopyTo(message, Start.Length);
        Span<byte> rest = message.AsSpan(Start.Length + node.Length + 1);
        BinaryPrimitives.WriteUInt64BigEndian(rest, origin.Epoch);
        BinaryPrimitives.WriteUInt64BigEndian(rest[sizeof(ulong)..], sequence);
        chain.CopyTo(rest[(2 * sizeof(ulong))..]);
        return message;
    }
}
