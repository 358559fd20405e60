using System.Buffers.Binary;
using System.IO.Hashing;
using ZstdSharp;

namespace KitMesh.Sync.Journal.Format;

/// <summary>Writes and reads sealed segments: the same bytes in zstd blocks (RFC 8878), each with its own check.</summary>
/// <remarks>
/// <code>
/// sealed = "KMJZ" version:u16 0:u16 segment:u64 rawLength:u64 crc:u64 *block
/// block  = "KMZB" rawLength:u32 packedLength:u32 rawOffset:u64 packed crc:u64
/// crc    = CRC-64/ECMA-182; of a block: over segment:u64 and the block without its last 8 bytes
/// </code>
/// A block begins and ends with a frame, so that a read unpacks about 256 KiB and not the segment.
/// </remarks>
internal static class SealedCodec
{
    internal const ushort Version = 1;
    internal const int FileHeaderBytes = 32;
    internal const int BlockHeaderBytes = 20;
    internal const int CheckBytes = 8;
    internal const int TargetBlockBytes = 256 << 10;
    internal const int MaxBlockBytes = FrameCodec.MaxFrameBytes + TargetBlockBytes;

    private static ReadOnlySpan<byte> FileMagic => "KMJZ"u8;

    private static ReadOnlySpan<byte> BlockMagic => "KMZB"u8;

    internal static byte[] WriteHeader(ulong segment, long rawLength)
    {
        byte[] header = new byte[FileHeaderBytes];
        FileMagic.CopyTo(header);
        BinaryPrimitives.WriteUInt16LittleEndian(header.AsSpan(4), Version);
        BinaryPrimitives.WriteUInt64LittleEndian(header.AsSpan(8), segment);
        BinaryPrimitives.WriteInt64LittleEndian(header.AsSpan(16), rawLength);
        BinaryPrimitives.WriteUInt64LittleEndian(header.AsSpan(24), Crc64.HashToUInt64(header.AsSpan(0, 24)));
        return header;
    }

    /// <summary>Reads the file's header; -1 when it is broken, -2 when newer software wrote it.</summary>
    internal static long ReadHeader(ReadOnlySpan<byte> header, ulong segment)
    {
        if (header.Length < FileHeaderBytes || !header.StartsWith(FileMagic)
            || BinaryPrimitives.ReadUInt64LittleEndian(header[24..]) != Crc64.HashToUInt64(header[..24])
            || BinaryPrimitives.ReadUInt64LittleEndian(header[8..]) != segment)
        {
            return -1;
        }

        return BinaryPrimitives.ReadUInt16LittleEndian(header[4..]) == Version ? BinaryPrimitives.ReadInt64LittleEndian(header[16..]) : -2;
    }

    internal static byte[] WriteBlock(Compressor compressor, ulong segment, long rawOffset, ReadOnlySpan<byte> raw)
    {
        byte[] block = new byte[BlockHeaderBytes + Compressor.GetCompressBound(raw.Length) + CheckBytes];
        int packed = compressor.Wrap(raw, block.AsSpan(BlockHeaderBytes));
        BlockMagic.CopyTo(block);
        BinaryPrimitives.WriteInt32LittleEndian(block.AsSpan(4), raw.Length);
        BinaryPrimitives.WriteInt32LittleEndian(block.AsSpan(8), packed);
        BinaryPrimitives.WriteInt64LittleEndian(block.AsSpan(12), rawOffset);
        int length = BlockHeaderBytes + packed + CheckBytes;
        ulong check = Check(segment, block.AsSpan(0, length - CheckBytes));
        BinaryPrimitives.WriteUInt64LittleEndian(block.AsSpan(length - CheckBytes), check);
        return block[..length];
    }

    /// <summary>Finds the blocks of a sealed file. Where one is damaged the next sound one is searched for.</summary>
    internal static List<SealedBlock> FindBlocks(ReadOnlySpan<byte> file, ulong segment)
    {
        var blocks = new List<SealedBlock>();
        int at = FileHeaderBytes;
        while (at < file.Length)
        {
            if (TryReadBlock(file[at..], segment, at, out SealedBlock block))
            {
                blocks.Add(block);
                at = (int)block.FileOffset + block.PackedLength + CheckBytes;
                continue;
            }

            int next = file[(at + 1)..].IndexOf(BlockMagic);
            at = next < 0 ? file.Length : at + 1 + next;
        }

        return blocks;
    }

    /// <summary>Unpacks one block, or null when it is not what was written.</summary>
    internal static byte[]? Unpack(Decompressor decompressor, ReadOnlySpan<byte> whole, ulong segment, in SealedBlock block)
    {
        if (!TryReadBlock(whole, segment, block.FileOffset - BlockHeaderBytes, out SealedBlock read) || read != block)
        {
            return null;
        }

        byte[] raw = new byte[block.RawLength];
        try
        {
            return decompressor.Unwrap(whole.Slice(BlockHeaderBytes, block.PackedLength), raw) == raw.Length ? raw : null;
        }
        catch (ZstdException)
        {
            return null;
        }
    }

    private static bool TryReadBlock(ReadOnlySpan<byte> bytes, ulong segment, long fileOffset, out SealedBlock block)
    {
        block = default;
        if (bytes.Length < BlockHeaderBytes + CheckBytes || !bytes.StartsWith(BlockMagic))
        {
            return false;
        }

        int rawLength = BinaryPrimitives.ReadInt32LittleEndian(bytes[4..]);
        int packed = BinaryPrimitives.ReadInt32LittleEndian(bytes[8..]);
        if (rawLength is <= 0 or > MaxBlockBytes || packed <= 0 || packed > bytes.Length - BlockHeaderBytes - CheckBytes)
        {
            return false;
        }

        int length = BlockHeaderBytes + packed + CheckBytes;
        if (BinaryPrimitives.ReadUInt64LittleEndian(bytes[(length - CheckBytes)..]) != Check(segment, bytes[..(length - CheckBytes)]))
        {
            return false;
        }

        block = new SealedBlock(BinaryPrimitives.ReadInt64LittleEndian(bytes[12..]), rawLength, fileOffset + BlockHeaderBytes, packed);
        return true;
    }

    private static ulong Check(ulong segment, ReadOnlySpan<byte> body)
    {
        Span<byte> place = stackalloc byte[sizeof(ulong)];
        BinaryPrimitives.WriteUInt64LittleEndian(place, segment);
        var crc = new Crc64();
        crc.Append(place);
        crc.Append(body);
        return crc.GetCurrentHashAsUInt64();
    }
}
