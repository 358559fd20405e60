using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Sync.Session;

/// <summary>One hash over what a node holds: equal on two nodes exactly when they hold the same reports of the same origins.</summary>
/// <remarks>
/// SHA-256 over "kitmesh holdings 1", a zero byte, and for each origin in order: the node's name, a zero byte, the epoch,
/// the number of ranges, first and last of each, chain sequence (8 bytes big-endian each) and chain hash.
/// </remarks>
public static class HoldingsFingerprint
{
    /// <summary>The fingerprint of a journal.</summary>
    /// <param name="holdings">What it holds, in any order.</param>
    public static Sha256Hash Of(IEnumerable<OriginHolding> holdings)
    {
        ArgumentNullException.ThrowIfNull(holdings);
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData("kitmesh holdings 1\0"u8);
        foreach (OriginHolding holding in holdings.OrderBy(holding => holding.Origin))
        {
            hash.AppendData(Encoding.ASCII.GetBytes(holding.Origin.Node.Value));
            hash.AppendData([0]);
            Append(hash, holding.Origin.Epoch);
            Append(hash, (ulong)holding.Ranges.Count);
            foreach (SequenceRange range in holding.Ranges)
            {
                Append(hash, range.First);
                Append(hash, range.Last);
            }

            Append(hash, holding.ChainSequence);
            hash.AppendData(holding.ChainHash.ToArray());
        }

        Span<byte> value = stackalloc byte[Sha256Hash.Size];
        hash.GetHashAndReset(value);
        return Sha256Hash.Read(value);
    }

    private static void Append(IncrementalHash hash, ulong number)
    {
        Span<byte> bytes = stackalloc byte[sizeof(ulong)];
        BinaryPrimitives.WriteUInt64BigEndian(bytes, number);
        hash.AppendData(bytes);
    }
}
