using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace KitMesh.Outlook.Energy;

// Problem: exponentials, logarithms and angles for eight paths at once, the same to the last bit on every processor.
// Trap: library vector functions may use fused multiply-add where the processor has it, so that two machines disagree in the
// last bit and an outlook no longer repeats.
// Method: plain polynomials of additions, multiplications, divisions and square roots, each correctly rounded by IEEE 754, in
// a fixed order; the eight lanes are Vector512, which older processors run as two halves or as scalars with the same result.
// Accuracy: about 1e-13 relative, far below what a path needs. Check: LaneMathTests against Math.Exp, Math.Log, Math.Sin.

/// <summary>Elementary functions for eight lanes of doubles.</summary>
internal static class LaneMath
{
    private const double Log2E = 1.4426950408889634;
    private const double Ln2High = 0.6931471803691238;
    private const double Ln2Low = 1.9082149292705877e-10;

    // Adding and taking away 1.5 × 2^52 rounds to a whole number and leaves it in the low bits.
    private const double Rounder = 6755399441055744.0;

    /// <summary>e^x for x from -700 to 700.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal static Vector512<double> Exp(Vector512<double> x)
    {
        Vector512<double> shifted = (x * Log2E) + Vector512.Create(Rounder);
        Vector512<double> n = shifted - Vector512.Create(Rounder);
        Vector512<double> r = x - (n * Ln2High) - (n * Ln2Low);
        Vector512<double> p = Vector512.Create(1.0 / 479001600);
        p = (p * r) + Vector512.Create(1.0 / 39916800);
        p = (p * r) + Vector512.Create(1.0 / 3628800);
        p = (p * r) + Vector512.Create(1.0 / 362880);
        p = (p * r) + Vector512.Create(1.0 / 40320);
        p = (p * r) + Vector512.Create(1.0 / 5040);
        p = (p * r) + Vector512.Create(1.0 / 720);
        p = (p * r) + Vector512.Create(1.0 / 120);
        p = (p * r) + Vector512.Create(1.0 / 24);
        p = (p * r) + Vector512.Create(1.0 / 6);
        p = (p * r) + Vector512.Create(0.5);
        p = (p * r) + Vector512<double>.One;
        p = (p * r) + Vector512<double>.One;
        Vector512<long> exponent = Vector512.ShiftLeft(shifted.AsInt64(), 52);
        return (p.AsInt64() + exponent).AsDouble();
    }

    /// <summary>Natural logarithm of a positive normal number.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal static Vector512<double> Log(Vector512<double> x)
    {
        // Split so that the mantissa lies in [sqrt(1/2), sqrt(2)).
        Vector512<long> bits = x.AsInt64();
        Vector512<long> offset = bits - Vector512.Create(0x3FE6A09E667F3BCDL);
        Vector512<long> exponent = Vector512.ShiftRightArithmetic(offset, 52);
        Vector512<double> m = (bits - Vector512.ShiftLeft(exponent, 52)).AsDouble();
        Vector512<double> e = Vector512.ConvertToDouble(exponent);
        Vector512<double> s = (m - Vector512<double>.One) / (m + Vector512<double>.One);
        Vector512<double> t = s * s;
        Vector512<double> p = Vector512.Create(1.0 / 17);
        p = (p * t) + Vector512.Create(1.0 / 15);
        p = (p * t) + Vector512.Create(1.0 / 13);
        p = (p * t) + Vector512.Create(1.0 / 11);
        p = (p * t) + Vector512.Create(1.0 / 9);
        p = (p * t) + Vector512.Create(1.0 / 7);
        p = (p * t) + Vector512.Create(1.0 / 5);
        p = (p * t) + Vector512.Create(1.0 / 3);
        p = (p * t) + Vector512<double>.One;
        return (e * Ln2High) + ((e * Ln2Low) + (p * s * 2.0));
    }

    /// <summary>Sine and cosine of an angle from -π/4 to π/4.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal static (Vector512<double> Sin, Vector512<double> Cos) SinCosSmall(Vector512<double> x)
    {
        Vector512<double> t = x * x;
        Vector512<double> s = Vector512.Create(-1.0 / 1307674368000);
        s = (s * t) + Vector512.Create(1.0 / 6227020800);
        s = (s * t) + Vector512.Create(-1.0 / 39916800);
        s = (s * t) + Vector512.Create(1.0 / 362880);
        s = (s * t) + Vector512.Create(-1.0 / 5040);
        s = (s * t) + Vector512.Create(1.0 / 120);
        s = (s * t) + Vector512.Create(-1.0 / 6);
        s = (s * t) + Vector512<double>.One;
        Vector512<double> c = Vector512.Create(1.0 / 20922789888000);
        c = (c * t) + Vector512.Create(-1.0 / 87178291200);
        c = (c * t) + Vector512.Create(1.0 / 479001600);
        c = (c * t) + Vector512.Create(-1.0 / 3628800);
        c = (c * t) + Vector512.Create(1.0 / 40320);
        c = (c * t) + Vector512.Create(-1.0 / 720);
        c = (c * t) + Vector512.Create(1.0 / 24);
        c = (c * t) + Vector512.Create(-0.5);
        c = (c * t) + Vector512<double>.One;
        return (s * x, c);
    }
}
