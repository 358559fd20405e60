using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.TestKit.Footage;
using NodaTime;
using static KitMesh.TestKit.Footage.FootageHistory;

namespace KitMesh.Tests.Footage.Ledger;

/// <summary>What a copy rule can ask for, whose word counts, and drives that are cleared again and again.</summary>
public sealed class CopyRuleTests
{
    private static readonly OriginId Stranger = new(NodeId.Parse("stranger"), 3);

    private readonly FootageHistory _history = new FootageHistory().DeclareRidgeKit(copies: 2, drives: 2, cases: 2);

    private LedgerSnapshot Now => FootageLedger.Of(_history.Reports).Now(_history.Clock);

    private CardRow Card => Now.Cards.Single(card => card.Card == Id("card 1"));

    private ClipRow Clip => Now.Find(FootageHistory.Clip(1))!;

    [Fact]
    public void Media_AllOfOneType_IsShort_UntilAnotherTypeHoldsACopy()
    {
        Rule(new CopyRule(Id("rule"), 2, 2, 2, null, 21, MediaTypes: 2));
        _history.Declare(Drive("drive C", "case 3") with { Medium = DriveMedium.Spinning });
        Shoot().Verified(1, "drive A").Verified(1, "drive B");

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Equal("on 1 of 2 media types", Clip.Missing);

        _history.Verified(1, "drive C");
        Assert.Equal(CardState.MayBeFormatted, Card.State);
    }

    [Fact]
    public void Media_OfUnknownType_CountsAsNone()
    {
        Rule(new CopyRule(Id("rule"), 2, 2, 2, null, 21, MediaTypes: 2));
        _history.Declare(Drive("drive B", "case 2") with { Medium = DriveMedium.Unknown });
        Shoot().Verified(1, "drive A").Verified(1, "drive B");

        Assert.Equal(CardState.OnHold, Card.State);
    }

    [Fact]
    public void Source_WithARuleOfItsOwn_IsJudgedByIt_OthersByTheTrips()
    {
        _history.Declare(
            new CopyRule(Id("sound rule"), 3, 3, 3, null, 21),
            new FootageSource(Id("recorder 1"), Id("ridge"), null, 5, 0.2, Id("sound rule")),
            new Card(Id("card 2"), Id("recorder 1"), ByteCount.FromGigabytes(64)));
        Shoot().Verified(1, "drive A").Verified(1, "drive B");
        _history.See("card 2", "v2", 1, "recorder 1").Find("card 2", "v2", 2, path: "S1.WAV").Verified(2, "drive A").Verified(2, "drive B");

        Assert.Equal(CardState.MayBeFormatted, Card.State);
        CardRow sound = Now.Cards.Single(card => card.Card == Id("card 2"));
        Assert.Equal((CardState.OnHold, Id("sound rule")), (sound.State, sound.Rule));
        Assert.Contains("2 of 3 proven copies", sound.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Intermediate_CopyOnIt_CountsForNoRule_AndIsShown()
    {
        DeclareStationDisk();
        Shoot().Verified(1, "station disk").Verified(1, "drive A");

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Equal(1, Clip.ProvenCopies);
        CopyRow onDisk = Clip.Copies.Single(copy => copy.Drive == Id("station disk"));
        Assert.Contains("intermediate", onDisk.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Intermediate_DayMayBeCleared_OnlyWhenAllItsClipsAreProvenElsewhere()
    {
        DeclareStationDisk();
        _history.See("card 1", "v1", 2).Find("card 1", "v1", 1).Find("card 1", "v1", 2);
        _history.Verified(1, "station disk").Verified(2, "station disk");
        _history.Verified(1, "drive A").Verified(1, "drive B").Verified(2, "drive A");

        ClearingStep before = Assert.Single(Now.View(LedgerQuery.All).Clearing.Single().Steps);
        Assert.False(before.MayBeCleared);
        Assert.Contains("1 of 2 clips are short", before.Reason, StringComparison.Ordinal);

        _history.Verified(2, "drive C");
        ClearingRow after = Now.View(LedgerQuery.All).Clearing.Single();
        Assert.True(after.Steps.Single().MayBeCleared);
        Assert.Equal(2_000_000_000, after.MayBeCleared.Value);
    }

    [Fact]
    public void Intermediate_SafestAndOldestDayGoesFirst()
    {
        DeclareStationDisk();
        for (int day = 1; day <= 3; day++)
        {
            _history.See("card 1", $"v{day}", 1).Find("card 1", $"v{day}", day).Verified(day, "station disk").Verified(day, "drive A").Verified(day, "drive B");
            _history.Format("card 1", $"v{day}");
            _history.Clock += Duration.FromDays(1);
        }

        _history.Verified(2, "drive C");

        ClearingStep[] steps = [.. Now.View(LedgerQuery.All).Clearing.Single().Steps];
        Assert.Equal([new LocalDate(2027, 2, 2), new LocalDate(2027, 2, 1), new LocalDate(2027, 2, 3)], steps.Select(step => step.Day));
    }

    [Fact]
    public void Intermediate_ClearedAfterProof_IsNoLoss_ClearedBefore_Is()
    {
        DeclareStationDisk();
        Shoot().Verified(1, "station disk").Verified(1, "drive A").Failed(1, "station disk", CopyFailure.Missing);
        Assert.Equal(1, Disk.Lost);

        _history.Verified(1, "drive B");
        Assert.Equal(0, Disk.Lost);
        Assert.Equal(CardState.MayBeFormatted, Card.State);
    }

    [Fact]
    public void Intermediate_IsOneMoreCopyForTheOdds_OnlyWhileItMayNotBeCleared()
    {
        DeclareStationDisk();
        Shoot().Verified(1, "station disk").Verified(1, "drive A");
        Assert.Contains(Id("station disk"), Now.Holdings().Groups.Single().Drives);

        _history.Verified(1, "drive B");
        Assert.DoesNotContain(Id("station disk"), Now.Holdings().Groups.Single().Drives);
    }

    [Fact]
    public void Writers_NamedInTheTripFile_OthersAreKeptShownAndNoProof()
    {
        _history.Declare(new WatchedAgent(NodeId.Parse("station-1"), Id("ridge"), Duration.FromHours(6), MayReportCopies: true));
        Shoot().Verified(1, "drive A");
        _history.Station = Stranger;
        _history.Verified(1, "drive B");

        Assert.Equal(CardState.OnHold, Card.State);
        CopyRow strange = Clip.Copies.Single(copy => copy.Drive == Id("drive B"));
        Assert.Equal(CopyStanding.Odd, strange.Standing);
        Assert.Contains("no right", strange.Reason, StringComparison.Ordinal);
        Assert.Contains(Now.View(LedgerQuery.All).Oddities, oddity => oddity.Subject == Id("drive B"));
    }

    [Fact]
    public void Writers_NobodyNamed_EverybodysWordCounts()
    {
        Shoot().Verified(1, "drive A");
        _history.Station = Stranger;
        _history.Verified(1, "drive B");

        Assert.Equal(CardState.MayBeFormatted, Card.State);
    }

    [Fact]
    public void Release_ByANodeThatMayNot_ReleasesNothing_ByOneThatMay_Does()
    {
        _history.Declare(new WatchedAgent(NodeId.Parse("lead-phone"), Id("ridge"), Duration.FromHours(6), MayRelease: true));
        Shoot().Release("card 1", "v1");
        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Contains(Now.View(LedgerQuery.All).Oddities, oddity => oddity.Message.Contains("without a keeper's right", StringComparison.Ordinal));

        _history.Station = new OriginId(NodeId.Parse("lead-phone"), 9);
        _history.Release("card 1", "v1");
        Assert.Equal(CardState.MayBeFormatted, Card.State);
        Assert.Contains("the river took case 2", Card.Override, StringComparison.Ordinal);
    }

    [Fact]
    public void Rule_LoosenedByAWriterWithoutTheRight_StandsAsItWas()
    {
        Shoot().Verified(1, "drive A");
        _history.Station = Stranger;
        _history.Declare(new CopyRule(Id("rule"), 1, 1, 1, null, 21));

        LedgerSnapshot trusting = Now;
        LedgerSnapshot careful = FootageLedger.Of(_history.Reports, new NotStranger()).Now(_history.Clock);

        Assert.Equal(CardState.MayBeFormatted, trusting.Cards.Single(card => card.Card == Id("card 1")).State);
        Assert.Equal(CardState.OnHold, careful.Cards.Single(card => card.Card == Id("card 1")).State);
        Assert.Contains(careful.View(LedgerQuery.All).Oddities, oddity => oddity.Message.Contains("declared by stranger without", StringComparison.Ordinal));
    }

    [Fact]
    public void Stranger_WhoSeesFewerFiles_TakesNothingOffTheCard()
    {
        _history.Declare(new WatchedAgent(NodeId.Parse("station-1"), Id("ridge"), Duration.FromHours(6), MayReportCopies: true));
        _history.See("card 1", "v1", 2).Find("card 1", "v1", 1).Find("card 1", "v1", 2).Verified(1, "drive A").Verified(1, "drive B");
        _history.Station = Stranger;
        _history.See("card 1", "v2", 1).Find("card 1", "v2", 1);

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Equal(2, Card.Clips);
    }

    [Fact]
    public void Card_WhoseFilesNobodyCounted_StaysOnHold()
    {
        // The count of files may still be on its way: ten proven clips of forty are no proof for the card.
        _history.Find("card 1", "v1", 1).Verified(1, "drive A").Verified(1, "drive B");

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Contains("how many files", Card.Reason, StringComparison.Ordinal);

        _history.See("card 1", "v1", 1);
        Assert.Equal(CardState.MayBeFormatted, Card.State);
    }

    [Fact]
    public void Day_TellsSingleCopiesAndTheirAge_ForTheNight()
    {
        Instant found = _history.Clock + Duration.FromMinutes(1);
        Shoot().Verified(1, "drive A");

        DayRow day = Now.View(LedgerQuery.All).Days.Single();
        Assert.Equal((1, found, 1), (day.OneCopyClips, day.OneCopySince, day.OneCaseClips));

        _history.Verified(1, "drive B");
        day = Now.View(LedgerQuery.All).Days.Single();
        Assert.Equal((0, null, 0), (day.OneCopyClips, day.OneCopySince, day.OneCaseClips));
    }

    [Fact]
    public void Drive_TellsWhenItsFirstProofGrowsTooOld()
    {
        Rule(new CopyRule(Id("rule"), 2, 2, 2, Duration.FromDays(7), 21));
        Shoot();
        Instant proven = _history.Clock;
        _history.Verified(1, "drive A");

        Assert.Equal(proven + Duration.FromDays(7), Now.View(LedgerQuery.All).Drives.Single(drive => drive.Drive == Id("drive A")).RecheckBy);
    }

    [Fact]
    public void Query_StillOnCard_LeavesOutWhatWasFormatted()
    {
        _history.See("card 1", "v1", 1).Find("card 1", "v1", 1).Format("card 1", "v1");
        _history.See("card 1", "v2", 1).Find("card 1", "v2", 2);

        LedgerView still = Now.View(new LedgerQuery(Card: Id("card 1"), StillOnCard: true));
        Assert.Equal(FootageHistory.Clip(2), Assert.Single(still.Clips).Clip);
        Assert.Equal(2, Now.View(new LedgerQuery(Card: Id("card 1"))).ClipsTotal);
    }

    private sealed class NotStranger : IWriterRights
    {
        public bool MayProve(ReportKey report) => report.Origin != Stranger;

        public bool MayRelease(ReportKey report) => report.Origin != Stranger;
    }

    private DriveRow Disk => Now.View(LedgerQuery.All).Drives.Single(drive => drive.Drive == Id("station disk"));

    private FootageHistory Shoot() => _history.See("card 1", "v1", 1).Find("card 1", "v1", 1);

    private void Rule(CopyRule rule) => _history.Declare(rule);

    private void DeclareStationDisk() => _history.Declare(Drive("station disk", null, gigabytes: 1000) with { Intermediate = true });
}
