namespace KitMesh.Outlook.Energy;

/// <summary>The functions of <see cref="LaneMath"/> one number at a time, with the same operations in the same order: the reference that lanes are tested against.</summary>
internal static class LoopMath
{
    private const double Rounder = 6755399441055744.0;

    private static readonly double[] ExpTerms =
        [1.0 / 39916800, 1.0 / 3628800, 1.0 / 362880, 1.0 / 40320, 1.0 / 5040, 1.0 / 720, 1.0 / 120, 1.0 / 24, 1.0 / 6, 0.5, 1, 1];

    internal static double Exp(double x)
    {
        double shifted = (x * 1.4426950408889634) + Rounder;
        double n = shifted - Rounder;
        double r = x - (n * 0.6931471803691238) - (n * 1.9082149292705877e-10);
        double p = 1.0 / 479001600;
        foreach (double term in ExpTerms)
        {
            p = (p * r) + term;
        }

        return BitConverter.Int64BitsToDouble(BitConverter.DoubleToInt64Bits(p) + (BitConverter.DoubleToInt64Bits(shifted) << 52));
    }

    internal static double Log(double x)
    {
        long bits = BitConverter.DoubleToInt64Bits(x);
        long exponent = (bits - 0x3FE6A09E667F3BCDL) >> 52;
        double m = BitConverter.Int64BitsToDouble(bits - (exponent << 52));
        double s = (m - 1) / (m + 1);
        double t = s * s;
        double p = 1.0 / 17;
        for (int odd = 15; odd >= 1; odd -= 2)
        {
            p = (p * t) + (1.0 / odd);
        }

        return (exponent * 0.6931471803691238) + ((exponent * 1.9082149292705877e-10) + (p * s * 2.0));
    }

    internal static (double Sin, double Cos) SinCosSmall(double x)
    {
        double t = x * x;
        double s = -1.0 / 1307674368000;
        s = (s * t) + (1.0 / 6227020800);
        s = (s * t) + (-1.0 / 39916800);
        s = (s * t) + (1.0 / 362880);
        s = (s * t) + (-1.0 / 5040);
        s = (s * t) + (1.0 / 120);
        s = (s * t) + (-1.0 / 6);
        s = (s * t) + 1;
        double c = 1.0 / 20922789888000;
        c = (c * t) + (-1.0 / 87178291200);
        c = (c * t) + (1.0 / 479001600);
        c = (c * t) + (-1.0 / 3628800);
        c = (c * t) + (1.0 / 40320);
        c = (c * t) + (-1.0 / 720);
        c = (c * t) + (1.0 / 24);
        c = (c * t) + (-0.5);
        c = (c * t) + 1;
        return (s * x, c);
    }
}
