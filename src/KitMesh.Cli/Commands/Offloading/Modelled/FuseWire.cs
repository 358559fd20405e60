using System.Buffers.Binary;

namespace KitMesh.Cli.Commands.Offloading.Modelled;

/// <summary>Layouts of the kernel's FUSE protocol, version 7.31 (linux/fuse.h); little-endian machines.</summary>
internal static class FuseWire
{
    public const int Lookup = 1;
    public const int Forget = 2;
    public const int GetAttributes = 3;
    public const int SetAttributes = 4;
    public const int Open = 14;
    public const int Read = 15;
    public const int Write = 16;
    public const int StatFileSystem = 17;
    public const int Release = 18;
    public const int Sync = 20;
    public const int Flush = 25;
    public const int Init = 26;
    public const int Interrupt = 36;
    public const int Destroy = 38;
    public const int BatchForget = 42;

    public const int InHead = 40;
    public const int OutHead = 16;
    public const int ReadWriteHead = 40;
    public const int MaxWrite = 1 << 20;

    /// <summary>The answer to the kernel's greeting.</summary>
    /// <param name="to">At least 64 bytes.</param>
    /// <returns>Bytes of it.</returns>
    public static int WriteInit(Span<byte> to)
    {
        const uint AsyncRead = 1, BigWrites = 1 << 5, AsyncDirect = 1 << 15, MaxPages = 1 << 22;
        to[..64].Clear();
        BinaryPrimitives.WriteUInt32LittleEndian(to, 7);
        BinaryPrimitives.WriteUInt32LittleEndian(to[4..], 31);
        BinaryPrimitives.WriteUInt32LittleEndian(to[8..], MaxWrite);
        BinaryPrimitives.WriteUInt32LittleEndian(to[12..], AsyncRead | BigWrites | AsyncDirect | MaxPages);
        BinaryPrimitives.WriteUInt16LittleEndian(to[16..], 64);
        BinaryPrimitives.WriteUInt16LittleEndian(to[18..], 48);
        BinaryPrimitives.WriteUInt32LittleEndian(to[20..], MaxWrite);
        BinaryPrimitives.WriteUInt32LittleEndian(to[24..], 1);
        BinaryPrimitives.WriteUInt16LittleEndian(to[28..], MaxWrite / 4096);
        return 64;
    }

    /// <summary>The attributes of a node: 1 is the folder, 2 the image.</summary>
    /// <param name="to">At least 88 bytes.</param>
    /// <param name="node">The node.</param>
    /// <param name="size">Bytes of the image.</param>
    public static void WriteAttributes(Span<byte> to, ulong node, long size)
    {
        const uint Folder = 0x41ED, File = 0x8180;
        to[..88].Clear();
        BinaryPrimitives.WriteUInt64LittleEndian(to, node);
        BinaryPrimitives.WriteUInt64LittleEndian(to[8..], node == 1 ? 0 : (ulong)size);
        BinaryPrimitives.WriteUInt64LittleEndian(to[16..], node == 1 ? 0 : (ulong)size / 512);
        BinaryPrimitives.WriteUInt32LittleEndian(to[60..], node == 1 ? Folder : File);
        BinaryPrimitives.WriteUInt32LittleEndian(to[64..], 1);
        BinaryPrimitives.WriteUInt32LittleEndian(to[80..], 4096);
    }
}
