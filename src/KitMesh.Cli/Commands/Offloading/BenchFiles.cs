using System.Globalization;

namespace KitMesh.Cli.Commands.Offloading;

/// <summary>Files to measure with: bytes that do not compress, from a number.</summary>
internal static class BenchFiles
{
    private const int Piece = 1 << 20;

    /// <summary>Makes files.</summary>
    /// <param name="folder">Where.</param>
    /// <param name="name">Format of their names.</param>
    /// <param name="count">How many.</param>
    /// <param name="size">Bytes of each; 0 for small ones between 1 and 100 kB.</param>
    /// <param name="seed">Makes the bytes differ.</param>
    public static void Make(string folder, string name, int count, int size, int seed)
    {
        Directory.CreateDirectory(folder);
        byte[] piece = new byte[Piece];
        ulong state = (ulong)seed * 0x9E3779B97F4A7C15;
        for (int i = 0; i < count; i++)
        {
            int left = size > 0 ? size : 1000 + (int)((uint)(i * 7919) % 99_000);
            using FileStream file = new(Path.Combine(folder, string.Format(CultureInfo.InvariantCulture, name, i)), FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0);
            while (left > 0)
            {
                int length = Math.Min(left, Piece);
                Fill(piece, ref state);
                file.Write(piece, 0, length);
                left -= length;
            }

            file.Flush(flushToDisk: size > 0);
        }
    }

    /// <summary>Bytes of all files in a folder.</summary>
    /// <param name="folder">The folder.</param>
    public static long Bytes(string folder) => new DirectoryInfo(folder).EnumerateFiles("*", SearchOption.AllDirectories).Sum(file => file.Length);

    private static void Fill(byte[] piece, ref ulong state)
    {
        Span<ulong> words = System.Runtime.InteropServices.MemoryMarshal.Cast<byte, ulong>(piece.AsSpan());
        foreach (ref ulong word in words)
        {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            word = state;
        }
    }
}
