using System.Numerics;

namespace KitMesh.Outlook.Energy;

/// <summary>One path's stream of <see cref="PathRandom"/>, one number at a time.</summary>
internal struct LoopRandom
{
    private ulong _s0;
    private ulong _s1;
    private ulong _s2;
    private ulong _s3;

    internal LoopRandom(ulong seed, int path)
    {
        ulong state = Mix(seed ^ Mix((ulong)path + 0x9E3779B97F4A7C15UL));
        _s0 = Mix(state += 0x9E3779B97F4A7C15UL);
        _s1 = Mix(state += 0x9E3779B97F4A7C15UL);
        _s2 = Mix(state += 0x9E3779B97F4A7C15UL);
        _s3 = Mix(state + 0x9E3779B97F4A7C15UL);
    }

    internal ulong NextBits()
    {
        ulong result = BitOperations.RotateLeft(_s0 + _s3, 23) + _s0;
        ulong t = _s1 << 17;
        _s2 ^= _s0;
        _s3 ^= _s1;
        _s1 ^= _s2;
        _s0 ^= _s3;
        _s2 ^= t;
        _s3 = BitOperations.RotateLeft(_s3, 45);
        return result;
    }

    internal (double A, double B) NextNormals()
    {
        ulong first = NextBits();
        ulong second = NextBits();
        double radiusUniform = 2.0 - BitConverter.UInt64BitsToDouble((first >> 12) | 0x3FF0000000000000UL);
        double quarter = BitConverter.UInt64BitsToDouble((second >> 12) | 0x3FF0000000000000UL) - 1.5;
        (double sin, double cos) = LoopMath.SinCosSmall(quarter * (Math.PI / 2));
        double radius = Math.Sqrt(LoopMath.Log(radiusUniform) * -2.0);
        bool swap = (second & 1) == 1;
        double sign = ((second >> 1) & 1) == 1 ? -1 : 1;
        return (sign * (swap ? sin : cos) * radius, sign * (swap ? cos : sin) * radius);
    }

    private static ulong Mix(ulong z)
    {
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
        return z ^ (z >> 31);
    }
}
