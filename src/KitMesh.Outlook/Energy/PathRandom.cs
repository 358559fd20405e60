using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace KitMesh.Outlook.Energy;

// Problem: millions of normal variates, quickly, the same on every machine and however many paths run side by side.
// Trap: one generator for all paths makes a path's weather depend on the number of lanes and on what other paths drew.
// Method: one xoshiro256++ stream a path, seeded by SplitMix64 from (seed, path number); eight streams side by side in lanes.
// Normals by Box and Muller; the angle is drawn in a quarter turn and moved round by two of the random bits, which needs no range reduction.
// Source: D. Blackman, S. Vigna, "Scrambled linear pseudorandom number generators", ACM TOMS 47 (2021) 36; G. Steele et al., "Fast splittable
// pseudorandom number generators", OOPSLA 2014; G. Box, M. Muller, Ann. Math. Stat. 29 (1958) 610. Check: PathRandomTests (reference outputs, moments, tails).

/// <summary>Eight seeded streams of random numbers, one a path.</summary>
internal struct PathRandom
{
    /// <summary>Name of the generator, as outlooks print it.</summary>
    internal const string Name = "xoshiro256++ per path, seeded by SplitMix64(seed, path), Box-Muller";

    private Vector512<ulong> _s0;
    private Vector512<ulong> _s1;
    private Vector512<ulong> _s2;
    private Vector512<ulong> _s3;

    /// <summary>Streams of eight neighbouring paths.</summary>
    /// <param name="seed">Seed of the outlook.</param>
    /// <param name="firstPath">Number of the first path.</param>
    internal PathRandom(ulong seed, int firstPath)
    {
        Span<ulong> words = stackalloc ulong[32];
        for (int lane = 0; lane < 8; lane++)
        {
            ulong state = Mix(seed ^ Mix((ulong)(firstPath + lane) + 0x9E3779B97F4A7C15UL));
            for (int word = 0; word < 4; word++)
            {
                state += 0x9E3779B97F4A7C15UL;
                words[(word * 8) + lane] = Mix(state);
            }
        }

        _s0 = Vector512.Create<ulong>(words[..8]);
        _s1 = Vector512.Create<ulong>(words.Slice(8, 8));
        _s2 = Vector512.Create<ulong>(words.Slice(16, 8));
        _s3 = Vector512.Create<ulong>(words.Slice(24, 8));
    }

    /// <summary>Streams from given state words, for the reference test.</summary>
    internal PathRandom(ulong s0, ulong s1, ulong s2, ulong s3)
    {
        _s0 = Vector512.Create(s0);
        _s1 = Vector512.Create(s1);
        _s2 = Vector512.Create(s2);
        _s3 = Vector512.Create(s3);
    }

    /// <summary>Sixty-four random bits for each path.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal Vector512<ulong> NextBits()
    {
        Vector512<ulong> sum = _s0 + _s3;
        Vector512<ulong> result = (Vector512.ShiftLeft(sum, 23) | Vector512.ShiftRightLogical(sum, 41)) + _s0;
        Vector512<ulong> t = Vector512.ShiftLeft(_s1, 17);
        _s2 ^= _s0;
        _s3 ^= _s1;
        _s1 ^= _s2;
        _s0 ^= _s3;
        _s2 ^= t;
        _s3 = Vector512.ShiftLeft(_s3, 45) | Vector512.ShiftRightLogical(_s3, 19);
        return result;
    }

    /// <summary>Two independent standard normals for each path.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal (Vector512<double> A, Vector512<double> B) NextNormals()
    {
        Vector512<ulong> first = NextBits();
        Vector512<ulong> second = NextBits();

        // 52 bits under the exponent of 1 give [1, 2); 2 less that is (0, 1].
        Vector512<ulong> one = Vector512.Create(0x3FF0000000000000UL);
        Vector512<double> radiusUniform = Vector512.Create(2.0) - (Vector512.ShiftRightLogical(first, 12) | one).AsDouble();
        Vector512<double> quarter = (Vector512.ShiftRightLogical(second, 12) | one).AsDouble() - Vector512.Create(1.5);
        (Vector512<double> sin, Vector512<double> cos) = LaneMath.SinCosSmall(quarter * (Math.PI / 2));
        Vector512<double> radius = Vector512.Sqrt(LaneMath.Log(radiusUniform) * -2.0);

        // Bit 0 swaps the axes, bit 1 turns by half a circle.
        Vector512<ulong> swap = Vector512.Equals(second & Vector512<ulong>.One, Vector512<ulong>.One);
        Vector512<ulong> sign = Vector512.ShiftLeft(Vector512.ShiftRightLogical(second, 1), 63);
        Vector512<double> x = Vector512.ConditionalSelect(swap.AsDouble(), sin, cos);
        Vector512<double> y = Vector512.ConditionalSelect(swap.AsDouble(), cos, sin);
        return ((x.AsUInt64() ^ sign).AsDouble() * radius, (y.AsUInt64() ^ sign).AsDouble() * radius);
    }

    private static ulong Mix(ulong z)
    {
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
        return z ^ (z >> 31);
    }
}
