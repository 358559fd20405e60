using KitMesh.Footage.Manifests;

namespace KitMesh.Tests.Footage.Manifests;

/// <summary>The BagIt File Packaging Format (V1.0), RFC 8493.</summary>
public sealed class BagItTests
{
    // RFC 8493, section 4.1 (a basic bag): its manifest's line.
    private const string PublishedLine = "49afbd86a1ca9f34b677a3f09655eae9  data/27613-h/images/q172.png";

    [Fact]
    public void ParseManifest_PublishedExample_IsRead()
    {
        BagItEntry entry = BagItText.ParseManifest(PublishedLine + "\n", out string wrong)!.Single();

        Assert.Empty(wrong);
        Assert.Equal(("data/27613-h/images/q172.png", "49afbd86a1ca9f34b677a3f09655eae9"), (entry.Path, entry.Hash));
        Assert.Equal(PublishedLine + "\n", BagItText.Manifest([entry]));
    }

    [Theory]
    [InlineData("plain.mov", "plain.mov")]
    [InlineData("100%.mov", "100%25.mov")]
    [InlineData("two\nlines\r", "two%0Alines%0D")]
    [InlineData("blank and ü", "blank and ü")]
    [InlineData("%0A", "%250A")]
    public void Encode_OnlyLineEndsAndPercent_AndBack(string path, string written)
    {
        Assert.Equal(written, BagItText.Encode(path));
        Assert.Equal(path, BagItText.Decode(written));
    }

    [Theory]
    [InlineData("aa  ../outside")]
    [InlineData("aa  /etc/passwd")]
    [InlineData("xyz  data/a")]
    [InlineData("aa")]
    [InlineData("aa data/a\naa data/a")]
    public void ParseManifest_WhatIsNotSound_IsRefusedInWords(string text)
    {
        Assert.Null(BagItText.ParseManifest(text, out string wrong));
        Assert.NotEmpty(wrong);
    }

    [Fact]
    public void ParseManifest_UpperCaseStarsDotsAndCrLf_AreRead() =>
        Assert.Equal([new("data/a", "aabb"), new("data/b c", "00")], BagItText.ParseManifest("AABB *./data/a\r\n00\tdata/b c\r\n", out _)!);

    [Fact]
    public void Info_TellsOxumOnceAndItIsReadBack()
    {
        string info = BagItText.Info(279_164_409_832, 1198, [("Source-Organization", "a film\ncrew")]);

        Assert.Equal((279_164_409_832, 1198), BagItText.Oxum(info));
        Assert.Contains("a film crew\n", info, StringComparison.Ordinal);
        Assert.Null(BagItText.Oxum(info + info));
    }

    [Theory]
    [InlineData(BagItText.Declaration, true)]
    [InlineData("BagIt-Version: 0.97\r\nTag-File-Character-Encoding: UTF-8\r\n", true)]
    [InlineData("BagIt-Version: 2.0\nTag-File-Character-Encoding: UTF-8\n", false)]
    [InlineData("\uFEFFBagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n", false)]
    [InlineData("BagIt-Version: 1.0\n", false)]
    public void Declaration_TwoLinesOfAKnownVersion_AreTaken(string text, bool good) => Assert.Equal(good, BagItText.DeclarationFault(text) is null);

    [Fact]
    public void Judgement_TellsCompleteFromValid()
    {
        var manifests = new Dictionary<string, IReadOnlyList<BagItEntry>> { ["sha256"] = [new("data/a", "aa"), new("data/b", "bb")] };
        Dictionary<string, IReadOnlyDictionary<string, string>> Found(string b) => new()
        {
            ["data/a"] = new Dictionary<string, string> { ["sha256"] = "AA" },
            ["data/b"] = new Dictionary<string, string> { ["sha256"] = b },
        };

        Assert.True(BagItJudgement.Of(manifests, Found("bb")).Valid);
        BagItJudgement rotten = BagItJudgement.Of(manifests, Found("bc"));
        Assert.Equal((true, false), (rotten.Complete, rotten.Valid));
        var more = Found("bb");
        more["data/c"] = new Dictionary<string, string>();
        Assert.False(BagItJudgement.Of(manifests, more).Complete);
        Assert.False(BagItJudgement.Of(manifests, new Dictionary<string, IReadOnlyDictionary<string, string>>()).Complete);
        Assert.False(BagItJudgement.Of(new Dictionary<string, IReadOnlyList<BagItEntry>>(), Found("bb")).Valid);
    }
}
