using System.Security.Cryptography;

namespace KitMesh.Hub.Ingest;

/// <summary>Fresh 64-bit numbers for journals and epochs, from the system's generator; never 0.</summary>
internal static class RandomNumbers
{
    public static ulong Draw()
    {
        ulong number;
        do
        {
            number = BitConverter.ToUInt64(RandomNumberGenerator.GetBytes(sizeof(ulong)));
        }
        while (number == 0);

        return number;
    }
}
