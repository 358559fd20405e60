using KitMesh.Footage.Clips;
using NodaTime;

namespace KitMesh.Tests.Footage.Clips;

// Invented recordings; that timecode goes before clocks is common practice, no source.
public sealed class SoundMatchTests
{
    private static readonly Instant Noon = Instant.FromUtc(2026, 2, 11, 12, 0);

    [Fact]
    public void Find_ByTimecode_IgnoresClocksThatAreHoursOff()
    {
        SoundFinding found = Assert.Single(SoundMatch.Find([Picture("C1", 0, 60, "10:00:00:12"), Sound("T1", 7200, 100, "09:59:50")]));

        Assert.Equal(["T1"], found.Sounds);
        Assert.Equal(SoundBasis.Timecode, found.Basis);
        Assert.Null(found.Lack);
    }

    [Fact]
    public void Find_PictureWithoutTimecode_UsesTheOffsetThatOthersTaught()
    {
        // The recorder's clock is an hour ahead: C1 and T1 teach it, C2 (no timecode) needs it.
        IReadOnlyList<SoundFinding> found = SoundMatch.Find(
        [
            Picture("C1", 0, 60, "10:00:00:00"), Sound("T1", 3600, 60, "10:00:00"),
            Picture("C2", 600, 60, null), Sound("T2", 3600 + 590, 100, null),
        ]);

        Assert.Equal(["T2"], found[1].Sounds);
        Assert.Equal(SoundBasis.LearntClock, found[1].Basis);
        Assert.Null(found[1].Lack);
    }

    [Fact]
    public void Find_AcrossMidnight_TimecodeGoesOn()
    {
        SoundFinding found = Assert.Single(SoundMatch.Find([Picture("C1", 0, 60, "00:00:05:00"), Sound("T1", -10, 100, "23:59:55")]));

        Assert.Null(found.Lack);
    }

    [Fact]
    public void Find_SameTimecodeOnAnotherDay_IsNoMatch()
    {
        SoundFinding found = Assert.Single(SoundMatch.Find([Picture("C1", 0, 60, "10:00:00:00"), Sound("T1", 86_400, 60, "10:00:00")]));

        Assert.Empty(found.Sounds);
        Assert.Contains("has no recorder's sound", found.Lack, StringComparison.Ordinal);
    }

    [Fact]
    public void Find_HoleInTheSound_IsToldInSeconds()
    {
        SoundFinding found = Assert.Single(SoundMatch.Find([Picture("C1", 0, 60, null), Sound("T1", 0, 20, null), Sound("T2", 15, 10, null), Sound("T3", 50, 60, null)]));

        Assert.Equal(Duration.FromSeconds(35), found.Covered);
        Assert.Equal("C1: 25 of 60 s have no recorder's sound, by clocks that nothing has compared", found.Lack);
    }

    private static ClipTimes Picture(string path, int at, int seconds, string? timecode) => Clip(path, "camera", false, at, seconds, timecode);

    private static ClipTimes Sound(string path, int at, int seconds, string? timecode) => Clip(path, "recorder", true, at, seconds, timecode);

    private static ClipTimes Clip(string path, string device, bool sound, int at, int seconds, string? timecode) =>
        new(path, device, sound, Noon + Duration.FromSeconds(at), Duration.FromSeconds(seconds), ClipTimes.ParseTimecode(timecode));
}
