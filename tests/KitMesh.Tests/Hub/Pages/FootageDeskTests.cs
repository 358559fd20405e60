using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Pages;
using KitMesh.TestKit.Footage;
using NodaTime;

namespace KitMesh.Tests.Hub.Pages;

/// <summary>What the page "Footage" says of each camera and recorder by day, of sound to the picture, and of clips that are not whole.</summary>
/// <remarks>Expected words follow from the reports that each test writes; matching itself is tested in SoundMatchTests.</remarks>
public sealed class FootageDeskTests
{
    /// <summary>Ten in the morning of the crew.</summary>
    private static readonly Instant Ten = Instant.FromUtc(2027, 2, 1, 5, 0);

    [Fact]
    public void BySource_ClipsOfTwoSources_OneRowEachWithCopiesCasesAndRule()
    {
        FootageHistory history = Kit()
            .See("card 1", "v1", 2).Find("card 1", "v1", 1, recorded: Ten).Find("card 1", "v1", 2, recorded: Ten)
            .See("card 2", "v2", 1, "recorder 1").Find("card 2", "v2", 3, path: "A/T01.WAV", recorded: Ten);
        foreach (string drive in (string[])["drive A", "drive B", "drive C"])
        {
            history.Verified(1, drive).Verified(3, drive);
        }

        history.Verified(2, "drive A");

        IReadOnlyList<SourceDayRow> rows = FootageDesk.BySource(View(history));

        Assert.Equal(
            [("camera 1", "2 clips", "◐ 1 to 3 copies", "1 to 3 cases", "✗ 1 of 2 fall short"), ("recorder 1", "1 clip", "● 3 copies", "3 cases", "✓ met by all")],
            rows.Select(row => (row.Source, row.Clips, row.Copies, row.Cases, row.Rule)));
    }

    [Fact]
    public void BySource_ManyDays_KeepsTheThreeNewestAndEveryOldOneThatFallsShort()
    {
        FootageHistory history = Kit();
        for (int day = 0; day < 6; day++)
        {
            history.Clock = FootageHistory.Start + Duration.FromDays(day);
            history.See("card 1", $"v{day}", 1).Find("card 1", $"v{day}", day + 1, recorded: Ten + Duration.FromDays(day));
            foreach (string drive in day == 1 ? (string[])["drive A"] : ["drive A", "drive B", "drive C"])
            {
                history.Verified(day + 1, drive);
            }
        }

        Assert.Equal([6, 5, 4, 2], FootageDesk.BySource(View(history)).Select(row => row.Day.Day));
    }

    [Fact]
    public void Sound_PictureWithARecorderThroughout_IsSaidToHaveIt()
    {
        FootageHistory history = Kit()
            .See("card 1", "v1", 1).Find("card 1", "v1", 1, recorded: Ten, minutes: 2, timecode: Duration.FromHours(10))
            .See("card 2", "v2", 1, "recorder 1").Find("card 2", "v2", 2, path: "A/T01.WAV", recorded: Ten - Duration.FromMinutes(7), minutes: 30, timecode: Duration.FromHours(10) - Duration.FromMinutes(1));

        SoundDayRow row = Assert.Single(FootageDesk.Sound(View(history)));

        Assert.Equal("✓ 1 picture clip with a recorder's sound throughout", row.Words);
        Assert.Empty(row.Lacks);
    }

    [Fact]
    public void Sound_PictureLongerThanItsSound_SaysHowManySecondsLack()
    {
        FootageHistory history = Kit()
            .See("card 1", "v1", 2).Find("card 1", "v1", 1, recorded: Ten, minutes: 2, timecode: Duration.FromHours(10))
            .Find("card 1", "v1", 2, path: "DCIM/C2.MP4", recorded: Ten + Duration.FromHours(3), minutes: 1, timecode: Duration.FromHours(13))
            .See("card 2", "v2", 1, "recorder 1").Find("card 2", "v2", 3, path: "A/T01.wav", recorded: Ten, minutes: 1, timecode: Duration.FromHours(10));

        SoundDayRow row = Assert.Single(FootageDesk.Sound(View(history)));

        Assert.Equal("✗ 2 of 2 picture clips lack a recorder's sound in part or whole", row.Words);
        Assert.Contains("60 of 120 s have no recorder's sound", row.Lacks[0], StringComparison.Ordinal);
        Assert.Contains("DCIM/C2.MP4 has no recorder's sound", row.Lacks[1], StringComparison.Ordinal);
    }

    [Fact]
    public void Sound_PicturesThatTellNoTime_AreCountedAndNeverCalledCovered()
    {
        FootageHistory history = Kit().See("card 1", "v1", 2).Find("card 1", "v1", 1).Find("card 1", "v1", 2);
        SoundDayRow untold = Assert.Single(FootageDesk.Sound(View(history)));
        Assert.Equal("? no picture clip tells its time", untold.Words);

        history.Find("card 1", "v1", 3, recorded: Ten);
        SoundDayRow one = Assert.Single(FootageDesk.Sound(View(history)));
        Assert.Equal("✗ 1 of 1 picture clip lack a recorder's sound in part or whole; 2 more do not tell their time", one.Words);
    }

    [Fact]
    public void Sound_MoreLacksThanAreListed_SaysHowManyMore()
    {
        FootageHistory history = Kit().See("card 1", "v1", 12);
        for (int clip = 1; clip <= 12; clip++)
        {
            history.Find("card 1", "v1", clip, recorded: Ten + Duration.FromMinutes(5 * clip));
        }

        SoundDayRow row = Assert.Single(FootageDesk.Sound(View(history)));

        Assert.Equal((8, 4), (row.Lacks.Count, row.More));
    }

    [Fact]
    public void Health_ClipWithDamage_KeepsItsWordsInTheLedger()
    {
        FootageHistory history = Kit()
            .See("card 1", "v1", 2)
            .Find("card 1", "v1", 1, recorded: Ten)
            .Write(new ClipFound(FootageHistory.Clip(2), FootageHistory.Id("card 1"), FootageHistory.Id("v1"), "DCIM/C2.MP4", new ByteCount(9), null, Ten, null, "ends in the middle of a box"));

        ClipRow damaged = Assert.Single(View(history).Clips, clip => clip.Damage is not null);

        Assert.Equal(("DCIM/C2.MP4", "ends in the middle of a box"), (damaged.Path, damaged.Damage));
    }

    private static FootageHistory Kit() => new FootageHistory().DeclareRidgeKit().Declare(
        new FootageSource(FootageHistory.Id("recorder 1"), FootageHistory.Id("ridge"), null, 5, 0.2, null),
        new Card(FootageHistory.Id("card 2"), FootageHistory.Id("recorder 1"), ByteCount.FromGigabytes(64)));

    private static LedgerView View(FootageHistory history) => FootageLedger.Of(history.Reports).Now(history.Clock).View(LedgerQuery.All);
}
