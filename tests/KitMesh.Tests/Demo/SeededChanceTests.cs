using KitMesh.Demo.Chance;

namespace KitMesh.Tests.Demo;

public sealed class SeededChanceTests
{
    /// <summary>First outputs of SplitMix64 from state 1234567, as published with the reference code (from memory, not a gate for others).</summary>
    [Fact]
    public void Next_ReferenceState_GivesThePublishedNumbers()
    {
        var chance = new SeededChance(1234567UL);

        Assert.Equal([6457827717110365317UL, 3203168211198807973UL, 9817491932198370423UL], [chance.Next(), chance.Next(), chance.Next()]);
    }

    [Fact]
    public void Factor_ManyDraws_HasMeanOneAndItsSpread()
    {
        var chance = new SeededChance(5, "test");
        double[] draws = [.. Enumerable.Range(0, 20_000).Select(_ => chance.Factor(0.4))];
        double mean = draws.Average();
        double spread = Math.Sqrt(draws.Average(draw => (draw - mean) * (draw - mean)));

        Assert.Equal(1, mean, 0.02);
        Assert.Equal(0.4, spread, 0.03);
    }
}
