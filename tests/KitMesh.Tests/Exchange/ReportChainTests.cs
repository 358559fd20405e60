using System.Security.Cryptography;
using KitMesh.Domain.Reports;

namespace KitMesh.Tests.Exchange;

/// <summary>The chain hash against the formula in docs/sync-protocol.md, computed here byte by byte.</summary>
public sealed class ReportChainTests
{
    private static readonly OriginId Origin = new(NodeId.Parse("power-1"), 0x0102_0304_0506_0708);

    [Fact]
    public void Seed_IsTheHashOfNameAndEpoch() =>
        Assert.Equal(
            SHA256.HashData([.. "kitmesh chain 2\0power-1\0"u8, 1, 2, 3, 4, 5, 6, 7, 8]),
            ReportChain.Seed(Origin).ToArray());

    [Fact]
    public void Next_IsTheHashOfPreviousSequenceAndBytes()
    {
        Sha256Hash seed = ReportChain.Seed(Origin);
        byte[] large = [.. Enumerable.Repeat((byte)7, 65_535)];

        Assert.Equal(
            SHA256.HashData([.. seed.ToArray(), 0, 0, 0, 0, 0, 0, 0, 1, 0, 9, 9]),
            ReportChain.Next(seed, 1, [9, 9]).ToArray());
        Assert.Equal(
            SHA256.HashData([.. seed.ToArray(), 0, 0, 0, 0, 0, 0, 1, 2, 0, .. large]),
            ReportChain.Next(seed, 258, large).ToArray());
    }

    [Fact]
    public void NextFork_IsTheHashOfPreviousSequenceAndSortedContents()
    {
        Sha256Hash seed = ReportChain.Seed(Origin);
        Sha256Hash[] contents = [.. new[] { Sha256Hash.Of([1]), Sha256Hash.Of([2]) }.Order()];

        Assert.Equal(
            SHA256.HashData([.. seed.ToArray(), 0, 0, 0, 0, 0, 0, 0, 1, 1, .. contents[0].ToArray(), .. contents[1].ToArray()]),
            ReportChain.NextFork(seed, 1, contents).ToArray());
        Assert.Throws<ArgumentException>(() => ReportChain.NextFork(default, 1, [contents[1], contents[0]]));
        Assert.Throws<ArgumentException>(() => ReportChain.NextFork(default, 1, [contents[0]]));
    }

    [Fact]
    public void Sha256_EmptyAndAbc_AreTheStandardsValues()
    {
        // FIPS 180-4, examples published with the standard: SHA-256 of "abc" and of nothing.
        Assert.Equal("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", Sha256Hash.Of("abc"u8).ToString());
        Assert.Equal("e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855", Sha256Hash.Of([]).ToString());
        Assert.True(Sha256Hash.TryParse(Sha256Hash.Of("abc"u8).ToString(), out Sha256Hash back));
        Assert.Equal(Sha256Hash.Of("abc"u8), back);
    }
}
