using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Clips;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Engine;
using KitMesh.Offload.Hashing;
using NodaTime;

namespace KitMesh.Tests.Offload;

public sealed class CopyListTests : IDisposable
{
    private readonly string _file = Path.GetTempFileName();

    [Fact]
    public void Line_ReadsBackAsItWasWritten()
    {
        CopyRecord record = Record("a/ü.mov", 7);

        Assert.True(CopyLine.TryRead(CopyLine.Write(record).AsSpan()[..^1], out string path, out CopyRecord? again));
        Assert.Equal("a/ü.mov", path);
        Assert.Equal(record, again);
    }

    [Fact]
    public void Peek_OnAList_SeesWhatOpeningItSees()
    {
        File.WriteAllBytes(_file, [.. CopyLine.Write(Record("a.mov", 1)), .. CopyLine.Write(Record("b.mov", 2)), .. CopyLine.WriteGone("a.mov", "test"), .. "torn"u8]);
        byte[] before = File.ReadAllBytes(_file);

        Assert.Equal(["b.mov"], CopyList.Peek(_file).Select(copy => copy.Path));
        Assert.Equal(before, File.ReadAllBytes(_file));
        Assert.Empty(CopyList.Peek(_file + " not there"));
    }

    [Fact]
    public void Line_WithAnyBitFlipped_IsNoLine()
    {
        byte[] line = CopyLine.Write(Record("a.mov", 7))[..^1];
        for (int bit = 0; bit < line.Length * 8; bit++)
        {
            line[bit / 8] ^= (byte)(1 << (bit % 8));
            Assert.False(CopyLine.TryRead(line, out _, out _), $"bit {bit}");
            line[bit / 8] ^= (byte)(1 << (bit % 8));
        }
    }

    [Fact]
    public void List_TornAtEveryByte_KeepsTheLinesBeforeAndTakesNewOnes()
    {
        byte[] whole = [.. CopyLine.Write(Record("a.mov", 1)), .. CopyLine.Write(Record("b.mov", 2))];
        int first = Array.IndexOf(whole, (byte)'\n') + 1;
        for (int length = 0; length <= whole.Length; length++)
        {
            File.WriteAllBytes(_file, whole[..length]);
            using (CopyList list = CopyList.Open(_file))
            {
                Assert.Equal((length >= first ? 1 : 0) + (length == whole.Length ? 1 : 0), list.Copies.Count);
                list.Add(Record("c.mov", 3));
            }

            using CopyList again = CopyList.Open(_file);
            Assert.NotNull(again.At("c.mov"));
        }
    }

    [Fact]
    public void List_StruckCopy_CountsNoMore()
    {
        using (CopyList list = CopyList.Open(_file))
        {
            list.Add(Record("a.mov", 1));
            list.Strike("a.mov", "rotten");
        }

        using CopyList again = CopyList.Open(_file);
        Assert.Empty(again.Copies);
        Assert.Empty(again.Of("DCIM/a.mov", 1));
    }

    [Theory]
    [InlineData(0, true)]
    [InlineData(2, true)]
    [InlineData(3, false)]
    [InlineData(900, true)]
    [InlineData(3600 + 1, true)]
    [InlineData(450, false)]
    [InlineData(30 * 3600, false)]
    public void SameTime_AllowsFatRoundingAndWholeQuarterHours(int seconds, bool same)
    {
        Instant noon = Instant.FromUtc(2026, 2, 11, 12, 0);

        Assert.Equal(same, KnownCopies.SameTime(noon, noon + Duration.FromSeconds(seconds)));
        Assert.Equal(same, KnownCopies.SameTime(noon + Duration.FromSeconds(seconds), noon));
    }

    public void Dispose() => File.Delete(_file);

    private static CopyRecord Record(string path, long size) => new(
        path,
        size,
        new ClipHash(42),
        "card h1",
        $"DCIM/{path}",
        Instant.FromUtc(2026, 2, 11, 16, 0) + Duration.FromNanoseconds(123),
        new ClipHash(43),
        ReadBackLevel.Direct,
        Instant.FromUtc(2026, 2, 11, 20, 0),
        [new HashText(HashKind.Sha256, "00ff")])
    {
        WrittenIn = new DriveAttachment("boot", 17, 412),
        Times = new ClipTimes($"DCIM/{path}", "card h1", IsSound: true, Instant.FromUtc(2026, 2, 11, 15, 0), Duration.FromSeconds(90.5), Duration.FromHours(10)),
    };
}
