using System.Buffers.Binary;
using System.Security.Cryptography;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Seals;

/// <summary>The hash over some contents of one origin: SHA-256 over every (sequence, 8 bytes big-endian ‖ content hash), sorted.</summary>
public static class SealContents
{
    /// <summary>The hash.</summary>
    /// <param name="contents">The contents, sorted.</param>
    public static Sha256Hash Of(IEnumerable<ReportContent> contents)
    {
        ArgumentNullException.ThrowIfNull(contents);
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Span<byte> entry = stackalloc byte[sizeof(ulong) + Sha256Hash.Size];
        foreach (ReportContent content in contents)
        {
            BinaryPrimitives.WriteUInt64BigEndian(entry, content.Sequence);
            content.Hash.CopyTo(entry[sizeof(ulong)..]);
            hash.AppendData(entry);
        }

        Span<byte> value = stackalloc byte[Sha256Hash.Size];
        hash.GetHashAndReset(value);
        return Sha256Hash.Read(value);
    }
}
