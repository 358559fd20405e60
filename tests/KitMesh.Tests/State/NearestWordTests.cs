using KitMesh.Domain;

namespace KitMesh.Tests.State;

public sealed class NearestWordTests
{
    /// <summary>Pairs from the textbook on this distance ("kitten" and "sitting" are 3 apart; from memory, not a gate beyond that).</summary>
    [Theory]
    [InlineData("kitten", "sitting", 3)]
    [InlineData("", "abc", 3)]
    [InlineData("ab", "ba", 1)]
    [InlineData("same", "same", 0)]
    public void Distance_KnownPairs_IsRight(string a, string b, int steps)
    {
        Assert.Equal(steps, NearestWord.Distance(a, b));
        Assert.Equal(steps, NearestWord.Distance(b, a));
    }

    [Fact]
    public void To_NothingNear_SuggestsNothing() => Assert.Null(NearestWord.To("weather", ["panels", "packs", "loads"]));
}
