using System.Numerics;

namespace KitMesh.TestKit.Disk;

/// <summary>A small repeatable generator: xoshiro256** seeded by SplitMix64.</summary>
/// <remarks>
/// Source: D. Blackman, S. Vigna, "Scrambled Linear Pseudorandom Number Generators", ACM Transactions on Mathematical
/// Software 47(4), 2021; reference code by the authors (public domain).
/// </remarks>
public sealed class SeededRandom
{
    private ulong _a;
    private ulong _b;
    private ulong _c;
    private ulong _d;

    public SeededRandom(ulong seed)
    {
        _a = SplitMix(ref seed);
        _b = SplitMix(ref seed);
        _c = SplitMix(ref seed);
        _d = SplitMix(ref seed);
    }

    public ulong Next()
    {
        ulong result = BitOperations.RotateLeft(_b * 5, 7) * 9;
        ulong shifted = _b << 17;
        _c ^= _a;
        _d ^= _b;
        _b ^= _c;
        _a ^= _d;
        _c ^= shifted;
        _d = BitOperations.RotateLeft(_d, 45);
        return result;
    }

    /// <summary>A number from 0 up to but without a bound.</summary>
    public int Below(int bound) => (int)(((UInt128)Next() * (ulong)bound) >> 64);

    /// <summary>A number between two, both included.</summary>
    public int Between(int low, int high) => low + Below(high - low + 1);

    /// <summary>True once in so many times on average.</summary>
    public bool OneIn(int times) => Below(times) == 0;

    /// <summary>A generator of its own, so that one part of a world does not shift another's numbers.</summary>
    public SeededRandom Split() => new(Next());

    private static ulong SplitMix(ref ulong state)
    {
        state += 0x9E3779B97F4A7C15;
        ulong z = state;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
        return z ^ (z >> 31);
    }
}
