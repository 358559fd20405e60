namespace KitMesh.Tests.Fuzz;

/// <summary>Damages bytes the way a bad link, a torn file or a liar does; the same seed damages the same way.</summary>
internal static class Mutator
{
    private const int MaxBytes = 65_536;

    private static readonly byte[] Liars = [0x00, 0x01, 0x7F, 0x80, 0xFF];

    /// <summary>One to four changes.</summary>
    public static byte[] Damage(byte[] sound, byte[] other, Random random)
    {
        byte[] bytes = sound;
        for (int left = random.Next(1, 5); left > 0; left--)
        {
            bytes = Change(bytes, other, random);
        }

        return bytes.Length > MaxBytes ? bytes[..MaxBytes] : bytes;
    }

    private static byte[] Change(byte[] bytes, byte[] other, Random random)
    {
        int at = random.Next(bytes.Length + 1);
        int to = random.Next(at, Math.Min(bytes.Length, at + 64) + 1);
        byte[] changed = [.. bytes];
        switch (random.Next(6))
        {
            case 0 when at < bytes.Length:
                changed[at] ^= (byte)(1 << random.Next(8));
                return changed;
            case 1:
                return bytes[..at];
            case 2:
                return [.. bytes[..at], .. other[random.Next(other.Length + 1)..]];
            case 3:
                return [.. bytes[..to], .. Enumerable.Repeat(bytes[at..to], random.Next(1, 50)).SelectMany(part => part), .. bytes[to..]];
            case 4 when at < bytes.Length:
                // Where a length stands in a binary message, this is a lie about it.
                changed[at] = Liars[random.Next(Liars.Length)];
                return changed;
            default:
                return [.. bytes[..at], .. bytes[to..]];
        }
    }
}
