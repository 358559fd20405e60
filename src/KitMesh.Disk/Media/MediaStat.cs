using System.Buffers.Binary;
using System.Runtime.InteropServices;

namespace KitMesh.Disk.Media;

/// <summary>What a file system says of one entry.</summary>
/// <param name="Kind">File, folder, link or other.</param>
/// <param name="Size">Bytes.</param>
/// <param name="ModifiedNanoseconds">Last write, nanoseconds since 1970 UTC.</param>
/// <param name="ChangedNanoseconds">Last change of the entry itself, nanoseconds since 1970 UTC.</param>
/// <param name="Device">Device number, major in the upper 32 bits.</param>
/// <param name="Inode">Number inside the file system.</param>
public readonly record struct MediaStat(
    MediaKind Kind,
    long Size,
    long ModifiedNanoseconds,
    long ChangedNanoseconds,
    ulong Device,
    ulong Inode)
{
    internal const int RawSize = 256;

    internal static MediaStat Read(ReadOnlySpan<byte> raw)
    {
        int mode = BinaryPrimitives.ReadUInt16LittleEndian(raw[28..]);
        return new(
            (mode & 0xF000) switch
            {
                0x8000 => MediaKind.File,
                0x4000 => MediaKind.Folder,
                0xA000 => MediaKind.Link,
                _ => MediaKind.Other,
            },
            MemoryMarshal.Read<long>(raw[40..]),
            Time(raw[112..]),
            Time(raw[96..]),
            ((ulong)MemoryMarshal.Read<uint>(raw[136..]) << 32) | MemoryMarshal.Read<uint>(raw[140..]),
            MemoryMarshal.Read<ulong>(raw[32..]));
    }

    private static long Time(ReadOnlySpan<byte> raw)
    {
        // A clock past the year 2262 or before 1677 does not fit; the end of the range is as good a label.
        long seconds = Math.Clamp(MemoryMarshal.Read<long>(raw), -9_223_372_036, 9_223_372_035);
        return (seconds * 1_000_000_000) + MemoryMarshal.Read<uint>(raw[8..]);
    }
}
