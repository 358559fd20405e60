using System.Buffers.Binary;
using System.Security.Cryptography;

namespace KitMesh.Cli.Clocks;

/// <summary>Fresh 64-bit numbers from the system's generator. Zero is never drawn: it reads as "not set".</summary>
internal static class RandomIds
{
    public static ulong Draw()
    {
        Span<byte> bytes = stackalloc byte[8];
        ulong id;
        do
        {
            RandomNumberGenerator.Fill(bytes);
            id = BinaryPrimitives.ReadUInt64LittleEndian(bytes);
        }
        while (id == 0);

        return id;
    }
}
