using System.Text;
using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Names;
using NodaTime;

namespace KitMesh.Tests.Offload;

public sealed class NameTests
{
    [Theory]
    [InlineData("C0001.MP4", "C0001.MP4")]
    [InlineData("a:b*c?.mov", "a_b_c_.mov")]
    [InlineData("trailing. ", "trailing__")]
    [InlineData("con.mov", "_con.mov")]
    [InlineData("tab\there", "tab_here")]
    [InlineData("naïve – 名前.wav", "naïve – 名前.wav")]
    [InlineData("", "_")]
    public void SafeName_ReplacesOnlyWhatSomeFileSystemRefuses(string name, string safe) => Assert.Equal(safe, SafeName.Of(name));

    [Fact]
    public void SafeName_KeepsNamesWithin255Bytes()
    {
        string name = SafeName.Of(new string('名', 200) + ".mov");

        Assert.InRange(Encoding.UTF8.GetByteCount(name), 250, 255);
        Assert.EndsWith(".mov", name, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("a/C0001.MP4", "a/C0001~9f2c.MP4")]
    [InlineData("a.b/README", "a.b/README~9f2c")]
    [InlineData(".hidden", ".hidden~9f2c")]
    public void Marked_PutsTheMarkBeforeTheExtension(string path, string marked) => Assert.Equal(marked, SafeName.Marked(path, "9f2c"));

    [Fact]
    public void Template_Standard_IsDaySourceCardPath()
    {
        string place = PathTemplate.Default.Place("DCIM/100KIT/C0001.MP4", Instant.FromUtc(2026, 2, 11, 23, 59), KitId.Parse("card h1"), KitId.Parse("hide: camera"));

        Assert.Equal("2026-02-11/hide_ camera/card h1/DCIM/100KIT/C0001.MP4", place);
    }

    [Fact]
    public void Template_UnknownSource_IsLeftOut() => Assert.Equal(
        "2026-02-11/card h1/x.wav",
        PathTemplate.Default.Place("x.wav", Instant.FromUtc(2026, 2, 11, 0, 0), KitId.Parse("card h1"), null));

    [Theory]
    [InlineData("{day}/{nonsense}/{path}")]
    [InlineData("{path}/{day}")]
    [InlineData("../{path}")]
    [InlineData("a//{path}")]
    [InlineData("{day}")]
    public void Template_ThatCouldLeaveTheDriveOrLoseThePath_IsRefused(string text) => Assert.NotNull(PathTemplate.TryParse(text, out _));

    [Fact]
    public void RawName_BytesThatAreNoText_ComeBackAsTheyWere()
    {
        byte[] bytes = [0x43, 0xFF, 0xC3, 0xA9, 0xED, 0xA0, 0x80, 0x2E, 0x80];

        string name = RawName.FromBytes(bytes);

        Assert.Equal([.. bytes, 0], RawName.ToBytes(name));
        Assert.Equal("C%FFé%ED%A0%80.%80", RawName.Shown(name));
    }
}
