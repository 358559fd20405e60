using System.Runtime.InteropServices;

namespace KitMesh.Disk.Media;

/// <summary>The file system behind a path.</summary>
/// <param name="Type">Its magic number.</param>
/// <param name="Capacity">Bytes it holds.</param>
/// <param name="Free">Bytes free for this user.</param>
/// <param name="MaxName">The longest name, in bytes.</param>
public readonly record struct MediaVolume(long Type, long Capacity, long Free, long MaxName)
{
    internal const int RawSize = 120;

    // linux/magic.h
    private const long Ext = 0xEF53;
    private const long Xfs = 0x58465342;
    private const long Btrfs = 0x9123683E;
    private const long F2Fs = 0xF2F52010;
    private const long TemporaryInMemory = 0x01021994;
    private const long RamFs = 0x858458F6;
    private const long FuseType = 0x65735546;
    private const long FatType = 0x4D44;

    /// <summary>The file system has no medium: its bytes live in memory.</summary>
    public bool IsMemory => Type is TemporaryInMemory or RamFs;

    /// <summary>A program serves the file system, and has its own way to the device below.</summary>
    public bool IsFuse => Type is FuseType;

    /// <summary>FAT: no file of 4 GiB or more.</summary>
    public bool IsFat => Type is FatType;

    /// <summary>
    /// A flush of the whole file system orders data before the names that point to it and empties the device's own cache
    /// (ext4, XFS, btrfs, F2FS commit a journal or a tree with a barrier). For all others each file is flushed by itself.
    /// </summary>
    public bool WholeFlushServes => Type is Ext or Xfs or Btrfs or F2Fs;

    /// <summary>
    /// A direct read comes from the device although clean pages of the file are in memory, so they need not be dropped
    /// first, which makes every processor stop for each file (ext4 and XFS through iomap; btrfs and others may fall back
    /// to the page cache unseen, for small or compressed files).
    /// </summary>
    public bool DirectReadsTheMedium => Type is Ext or Xfs;

    internal static MediaVolume Read(ReadOnlySpan<byte> raw)
    {
        long block = MemoryMarshal.Read<long>(raw[72..]);
        block = block > 0 ? block : MemoryMarshal.Read<long>(raw[8..]);
        return new(
            MemoryMarshal.Read<long>(raw) & 0xFFFFFFFF,
            MemoryMarshal.Read<long>(raw[16..]) * block,
            MemoryMarshal.Read<long>(raw[32..]) * block,
            MemoryMarshal.Read<long>(raw[64..]));
    }
}
