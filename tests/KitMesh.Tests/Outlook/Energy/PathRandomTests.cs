using System.Runtime.Intrinsics;
using KitMesh.Outlook.Energy;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>The generator against its reference and the normal distribution.</summary>
public sealed class PathRandomTests
{
    [Fact]
    public void NextBits_ReferenceState_GivesTheReferenceOutputs()
    {
        // First outputs of xoshiro256++ from state 1, 2, 3, 4: computed by hand from the authors' reference C code (rotl(s0 + s3, 23) + s0);
        // the first four are those that the rand_xoshiro crate's published test asserts.
        ulong[] expected = [41943041, 58720359, 3588806011781223, 3591011842654386];
        var random = new PathRandom(1, 2, 3, 4);

        foreach (ulong value in expected)
        {
            Assert.Equal(value, random.NextBits().GetElement(3));
        }
    }

    [Fact]
    public void NextNormals_ManyDraws_HaveTheMomentsAndTailsOfANormal()
    {
        var values = new List<double>();
        for (int path = 0; path < 64; path += 8)
        {
            var random = new PathRandom(42, path);
            for (int i = 0; i < 5_000; i++)
            {
                (Vector512<double> a, Vector512<double> b) = random.NextNormals();
                for (int lane = 0; lane < 8; lane++)
                {
                    values.Add(a.GetElement(lane));
                    values.Add(b.GetElement(lane));
                }
            }
        }

        double n = values.Count;
        double mean = values.Average();
        double variance = values.Sum(v => (v - mean) * (v - mean)) / n;
        double skew = values.Sum(v => Math.Pow(v - mean, 3)) / n;
        double kurtosis = values.Sum(v => Math.Pow(v - mean, 4)) / n / (variance * variance);

        // Four standard errors of each figure at this count.
        Assert.Equal(0, mean, 4 / Math.Sqrt(n));
        Assert.Equal(1, variance, 4 * Math.Sqrt(2 / n));
        Assert.Equal(0, skew, 4 * Math.Sqrt(6 / n));
        Assert.Equal(3, kurtosis, 4 * Math.Sqrt(24 / n));
        Assert.Equal(0.0013499, values.Count(v => v > 3) / n, 4 * Math.Sqrt(0.00135 / n));
        Assert.Equal(0.1586553, values.Count(v => v < -1) / n, 4 * Math.Sqrt(0.1335 / n));
    }

    [Fact]
    public void NextNormals_BothOfAPair_AreUncorrelatedInValueAndSize()
    {
        var random = new PathRandom(9, 0);
        double product = 0;
        double squares = 0;
        const int Draws = 40_000;
        for (int i = 0; i < Draws; i++)
        {
            (Vector512<double> a, Vector512<double> b) = random.NextNormals();
            for (int lane = 0; lane < 8; lane++)
            {
                double x = a.GetElement(lane);
                double y = b.GetElement(lane);
                product += x * y;
                squares += ((x * x) - 1) * ((y * y) - 1);
            }
        }

        double error = 4 / Math.Sqrt(Draws * 8.0);
        Assert.Equal(0, product / (Draws * 8.0), error);
        Assert.Equal(0, squares / (Draws * 8.0), error * 2);
    }
}
