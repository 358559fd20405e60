using System.Buffers.Binary;
using System.IO.Hashing;
using KitMesh.Domain.Reports;
using ZstdSharp;

namespace KitMesh.Storage.Segments;

/// <summary>The bytes of a segment: up to about 1,000 neighbouring reports of one origin.</summary>
/// <remarks>
/// Problem: one document a report costs 402 bytes and 25 microseconds in this database; most of that is not the report.
/// Trap: the database has no checksums, so a rotten page would be believed. Method: reports travel in columns (equal
/// things stand together, which is what makes them compress), under a checksum that is verified at every read.
/// Grammar (docs/storage.md): <c>segment = version packed payload hash</c>; <c>payload = count times arrivals kinds lengths
/// bytes</c>, compressed as one zstd frame (RFC 8878) when <c>packed</c> is 1. Numbers are LEB128; times are differences from
/// the one before, zigzag coded. The hash is XXH3-64 over everything before it.
/// </remarks>
internal static class SegmentFormat
{
    /// <summary>Version of these bytes. Another version makes the store discard itself; the journal refills it.</summary>
    public const byte Version = 1;

    private const int HeadLength = 2;
    private const int HashLength = 8;
    private const int MaxCount = 1 << 16;

    /// <summary>Encodes entries.</summary>
    /// <param name="entries">The reports in the order of their sequence.</param>
    /// <param name="compressor">Packs the payload; null leaves it as it is.</param>
    public static byte[] Encode(ReadOnlySpan<SegmentEntry> entries, Compressor? compressor)
    {
        var writer = new ColumnWriter(SizeBound(entries));
        writer.Number((ulong)entries.Length);
        long before = 0;
        foreach (SegmentEntry entry in entries)
        {
            writer.Signed(unchecked(entry.TimeNanoseconds - before));
            before = entry.TimeNanoseconds;
        }

        before = 0;
        foreach (SegmentEntry entry in entries)
        {
            writer.Signed(unchecked(entry.ArrivedNanoseconds - before));
            before = entry.ArrivedNanoseconds;
        }

        foreach (SegmentEntry entry in entries)
        {
            writer.Number((uint)entry.Kind);
        }

        foreach (SegmentEntry entry in entries)
        {
            writer.Number((uint)entry.Bytes.Length);
        }

        foreach (SegmentEntry entry in entries)
        {
            writer.Raw(entry.Bytes.Span);
        }

        return Seal(writer.Written, compressor);
    }

    /// <summary>Decodes a segment.</summary>
    /// <param name="segment">What <see cref="Encode"/> gave.</param>
    /// <param name="decompressor">Unpacks the payload.</param>
    /// <exception cref="InvalidDataException">These are not the bytes that were written.</exception>
    public static SegmentEntry[] Decode(byte[] segment, Decompressor decompressor)
    {
        ReadOnlyMemory<byte> payload = Open(segment, decompressor);
        var reader = new ColumnReader(payload);
        int count = (int)Math.Min(reader.Number(), MaxCount + 1);
        if (count > MaxCount)
        {
            throw new InvalidDataException($"A segment of {count} reports is none of ours.");
        }

        long[] times = Times(ref reader, count);
        long[] arrivals = Times(ref reader, count);
        var kinds = new ReportKind[count];
        for (int i = 0; i < count; i++)
        {
            kinds[i] = (ReportKind)(int)reader.Number();
        }

        int[] lengths = new int[count];
        for (int i = 0; i < count; i++)
        {
            lengths[i] = (int)reader.Number();
        }

        var entries = new SegmentEntry[count];
        for (int i = 0; i < count; i++)
        {
            entries[i] = new SegmentEntry(times[i], arrivals[i], kinds[i], reader.Raw(lengths[i]));
        }

        return entries;
    }

    /// <summary>Puts version, packing flag and checksum around a payload.</summary>
    public static byte[] Seal(ReadOnlySpan<byte> payload, Compressor? compressor)
    {
        int bound = compressor is null ? payload.Length : Compressor.GetCompressBound(payload.Length);
        byte[] sealedBytes = new byte[HeadLength + bound + HashLength];
        sealedBytes[0] = Version;
        int length = payload.Length;
        if (compressor is null)
        {
            payload.CopyTo(sealedBytes.AsSpan(HeadLength));
        }
        else
        {
            sealedBytes[1] = 1;
            length = compressor.Wrap(payload, sealedBytes.AsSpan(HeadLength, bound));
        }

        int end = HeadLength + length;
        BinaryPrimitives.WriteUInt64BigEndian(sealedBytes.AsSpan(end), XxHash3.HashToUInt64(sealedBytes.AsSpan(0, end)));
        Array.Resize(ref sealedBytes, end + HashLength);
        return sealedBytes;
    }

    /// <summary>Checks and unpacks what <see cref="Seal"/> gave.</summary>
    public static ReadOnlyMemory<byte> Open(byte[] sealedBytes, Decompressor decompressor)
    {
        int end = sealedBytes.Length - HashLength;
        if (end < HeadLength || BinaryPrimitives.ReadUInt64BigEndian(sealedBytes.AsSpan(end)) != XxHash3.HashToUInt64(sealedBytes.AsSpan(0, end)))
        {
            throw new InvalidDataException("The checksum of a stored block does not fit its bytes.");
        }

        if (sealedBytes[0] != Version)
        {
            throw new InvalidDataException($"A stored block has format {sealedBytes[0]}; this version reads {Version}.");
        }

        ReadOnlyMemory<byte> payload = sealedBytes.AsMemory(HeadLength, end - HeadLength);
        return sealedBytes[1] == 0 ? payload : decompressor.Unwrap(payload.Span).ToArray();
    }

    private static long[] Times(ref ColumnReader reader, int count)
    {
        long[] times = new long[count];
        long before = 0;
        for (int i = 0; i < count; i++)
        {
            before = unchecked(before + reader.Signed());
            times[i] = before;
        }

        return times;
    }

    private static int SizeBound(ReadOnlySpan<SegmentEntry> entries)
    {
        const int numbersPerEntry = (2 * ColumnWriter.MaxNumber) + 5 + 5;
        int size = ColumnWriter.MaxNumber;
        foreach (SegmentEntry entry in entries)
        {
            size += entry.Bytes.Length + numbersPerEntry;
        }

        return size;
    }
}
