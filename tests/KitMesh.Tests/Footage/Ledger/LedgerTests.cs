using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.TestKit.Footage;
using NodaTime;
using static KitMesh.TestKit.Footage.FootageHistory;

namespace KitMesh.Tests.Footage.Ledger;

/// <summary>What counts as proof, case by case.</summary>
public sealed class LedgerTests
{
    private readonly FootageHistory _history = new FootageHistory().DeclareRidgeKit();

    private LedgerSnapshot Now => FootageLedger.Of(_history.Reports).Now(_history.Clock);

    private CardRow Card => Now.Cards.Single(card => card.Card == Id("card 1"));

    private ClipRow ClipOne => Now.Find(Clip(1))!;

    private CopyRow CopyOn(string drive) => ClipOne.Copies.Single(copy => copy.Drive == Id(drive));

    [Fact]
    public void Card_NeverSeen_IsNotSeen() => Assert.Equal(CardState.NotSeen, Card.State);

    [Fact]
    public void Card_EveryClipOnThreeDrives_MayBeFormatted()
    {
        OffloadTwoClips();

        Assert.Equal(CardState.MayBeFormatted, Card.State);
        Assert.Equal(2, Card.Clips);
        Assert.Equal(3, Card.LeastCopies);
        Assert.True(ClipOne.MeetsRule);
        Assert.Equal(3, ClipOne.ProvenCases);
        Assert.Equal(Id("ridge"), ClipOne.Team);
        Assert.Equal(new LocalDate(2027, 2, 1), ClipOne.Day);
    }

    [Fact]
    public void Card_OneCopyOnlyWritten_IsOnHold()
    {
        _history.See("card 1", "v1", 1).Find("card 1", "v1", 1).Verified(1, "drive A").Verified(1, "drive B").Made(1, "drive C");

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Contains("2 of 3 proven copies", Card.Reason, StringComparison.Ordinal);
        Assert.Equal(CopyStanding.Made, CopyOn("drive C").Standing);
        Assert.Equal(Instant.FromUtc(2027, 2, 1, 16, 0), Card.Evening);
    }

    /// <summary>A hub can hold a later part of a station's reports without the earlier one, after damage or over two ways.</summary>
    [Fact]
    public void Card_CountOfFilesHasNotCome_IsOnHold()
    {
        _history.Find("card 1", "v1", 1).Verified(1, "drive A").Verified(1, "drive B").Verified(1, "drive C");

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Contains("how many files are on it has not been heard", Card.Reason, StringComparison.Ordinal);

        _history.See("card 1", "v1", 1);

        Assert.Equal(CardState.MayBeFormatted, Card.State);
    }

    [Fact]
    public void Card_WithFilesNotReadYet_IsOnHold()
    {
        OffloadTwoClips(files: 3);

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Contains("1 of 3 files", Card.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Card_WithAnUnreadableFile_IsOnHoldUntilItIsRead()
    {
        OffloadTwoClips();
        _history.Write(new CopyFailed(null, null, "DCIM/100AAAAA/C0009.MP4", CopyFailure.CardUnreadable, "EIO", Id("card 1")));
        Assert.Equal(CardState.OnHold, Card.State);

        _history.Find("card 1", "v1", 9);
        ProveEverywhere(9);

        Assert.Equal(CardState.MayBeFormatted, Card.State);
    }

    [Theory]
    [InlineData(ReadBackLevel.Cached, CopyStanding.Made)]
    [InlineData(ReadBackLevel.CacheDropped, CopyStanding.Proven)]
    [InlineData(ReadBackLevel.Direct, CopyStanding.Proven)]
    [InlineData(ReadBackLevel.PowerCycled, CopyStanding.Proven)]
    public void Copy_ReadBackAtLevel_IsProofOnlyFromTheMedium(ReadBackLevel level, CopyStanding standing)
    {
        _history.Find("card 1", "v1", 1).Verified(1, "drive A", level: level);

        Assert.Equal(standing, CopyOn("drive A").Standing);
    }

    [Fact]
    public void Card_AllDrivesInOneCase_IsOnHold()
    {
        OffloadTwoClips();
        _history.Place("drive B", "case 1").Place("drive C", "case 1");

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Contains("in 1 of 2 cases", Card.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Case_InsideAnotherCase_CountsAsTheOuterOne()
    {
        OffloadTwoClips();
        _history.Place("case 2", "case 1").Place("case 3", "case 1");

        Assert.Equal(1, ClipOne.ProvenCases);
        Assert.Equal(Id("case 1"), CopyOn("drive C").Case);
    }

    [Fact]
    public void Case_NobodyDeclared_IsShownAndDoesNotCount()
    {
        OffloadTwoClips();
        _history.Place("drive B", "case 9").Place("drive C", "case 9");

        Assert.Equal(1, ClipOne.ProvenCases);
        Assert.Null(CopyOn("drive B").Case);
        Assert.Equal(Id("case 9"), CopyOn("drive B").Carrier);
        Assert.Contains(Now.View(LedgerQuery.All).Oddities, odd => odd.Message.Contains("nobody declared", StringComparison.Ordinal));
    }

    [Fact]
    public void Recheck_Failed_PutsTheCardBackOnHold()
    {
        OffloadTwoClips();
        _history.Failed(1, "drive B", CopyFailure.HashDiffers);

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Equal(CopyStanding.Lost, CopyOn("drive B").Standing);
        Assert.Equal(1, Card.ClipsMet);
    }

    [Fact]
    public void Recheck_FailedAfterFormat_SaysWhatIsLeft()
    {
        OffloadTwoClips();
        _history.Format("card 1", "v1");
        Assert.Equal(CardState.Formatted, Card.State);

        _history.Failed(1, "drive B", CopyFailure.Missing);

        Assert.Equal(CardState.FormattedShort, Card.State);
        Assert.Equal(1, Card.ShortAndGone);
        Assert.Contains("2 of 3 proven copies", Card.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Repair_AfterAFailedRecheck_ReleasesAgain()
    {
        OffloadTwoClips();
        _history.Failed(1, "drive B", CopyFailure.Missing).Made(1, "drive B").Verified(1, "drive B");

        Assert.Equal(CardState.MayBeFormatted, Card.State);
    }

    [Theory]
    [InlineData(CopyFailure.DriveFull)]
    [InlineData(CopyFailure.WriteFailed)]
    [InlineData(CopyFailure.DriveGone)]
    public void Failure_ToWrite_DoesNotDisproveAnEarlierProof(CopyFailure failure)
    {
        OffloadTwoClips();
        _history.Failed(1, "drive B", failure);

        Assert.Equal(CopyStanding.Proven, CopyOn("drive B").Standing);
    }

    [Fact]
    public void Failure_FromADeadClock_CountsAgainstTheProofOfAnotherStation()
    {
        OffloadTwoClips();
        Instant now = _history.Clock;
        _history.Station = new OriginId(NodeId.Parse("station-2"), 3);
        _history.Clock = Instant.FromUnixTimeSeconds(60);
        _history.Failed(1, "drive B", CopyFailure.HashDiffers);
        _history.Clock = now;

        Assert.Equal(CopyStanding.Lost, CopyOn("drive B").Standing);

        _history.Verified(1, "drive B", recheck: true);

        Assert.Equal(CopyStanding.Proven, CopyOn("drive B").Standing);
    }

    [Fact]
    public void Journal_DecidesInsideAnOrigin_WhateverItsClockDid()
    {
        OffloadTwoClips();
        Instant now = _history.Clock;
        _history.Clock -= Duration.FromMinutes(3);
        _history.Failed(1, "drive B", CopyFailure.HashDiffers);
        _history.Clock = now;

        Assert.Equal(CopyStanding.Lost, CopyOn("drive B").Standing);
    }

    [Fact]
    public void Drive_SwappedForAnotherWithTheSameLabel_LosesItsProof()
    {
        _history.State("drive B", "id-1");
        OffloadTwoClips();
        _history.State("drive B", "id-2");

        Assert.Equal(CopyStanding.DriveInDoubt, CopyOn("drive B").Standing);
        Assert.Equal(CardState.OnHold, Card.State);

        _history.State("drive B", "id-1");

        Assert.Equal(CopyStanding.Proven, CopyOn("drive B").Standing);
    }

    [Fact]
    public void Drives_WithOneIdentity_AreNeitherProof()
    {
        _history.State("drive A", "id-1").State("drive B", "id-1");
        OffloadTwoClips();

        Assert.Equal(CopyStanding.DriveInDoubt, CopyOn("drive A").Standing);
        Assert.Equal(CopyStanding.DriveInDoubt, CopyOn("drive B").Standing);
        Assert.Equal(1, ClipOne.ProvenCopies);
        Assert.Contains(Now.View(LedgerQuery.All).Drives, drive => drive.Doubt is not null);
    }

    [Fact]
    public void Drive_OutOfTheTripFile_NoLongerCounts()
    {
        OffloadTwoClips();
        _history.Write(new KitDeclared(Drive("drive B", "case 2"), Withdrawn: true));

        Assert.Equal(2, ClipOne.ProvenCopies);
    }

    [Fact]
    public void Copy_FromBeforeItsClip_IsKeptShownAndNoProof()
    {
        _history.Verified(1, "drive A").Find("card 1", "v1", 1).Verified(1, "drive B");

        Assert.Equal(CopyStanding.Odd, CopyOn("drive A").Standing);
        Assert.Equal(1, ClipOne.ProvenCopies);
        Assert.Contains(Now.View(LedgerQuery.All).Oddities, odd => odd.Message.Contains("before the clip", StringComparison.Ordinal));
    }

    [Fact]
    public void Copy_DatedAfterNow_IsNoProof()
    {
        _history.Find("card 1", "v1", 1);
        Instant now = _history.Clock;
        _history.Clock = Instant.FromUtc(2099, 1, 1, 0, 0);
        _history.Verified(1, "drive A");
        _history.Clock = now;

        Assert.Equal(CopyStanding.Odd, CopyOn("drive A").Standing);
    }

    [Theory]
    [InlineData(-5)]
    [InlineData(999)]
    public void Copy_OfAnotherSize_IsNoProof(long size)
    {
        _history.Find("card 1", "v1", 1).Verified(1, "drive A", size);

        Assert.Equal(CopyStanding.Odd, CopyOn("drive A").Standing);
        Assert.Equal(size, CopyOn("drive A").Size.Value);
    }

    [Fact]
    public void Clip_OfNegativeSize_HoldsTheCard()
    {
        _history.See("card 1", "v1", 1).Find("card 1", "v1", 1, size: -1);
        foreach (string drive in (string[])["drive A", "drive B", "drive C"])
        {
            _history.Verified(1, drive, -1);
        }

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.Equal(-1, ClipOne.Size.Value);
    }

    [Fact]
    public void Copy_FromAnOriginWithoutTheRight_IsNoProof()
    {
        OffloadTwoClips();
        LedgerSnapshot snapshot = FootageLedger.Of(_history.Reports, new NoRights()).Now(_history.Clock);

        Assert.All(snapshot.Find(Clip(1))!.Copies, copy => Assert.Equal(CopyStanding.Odd, copy.Standing));
        Assert.Equal(CardState.OnHold, snapshot.Cards.Single().State);
    }

    [Fact]
    public void Copy_OfAClipNobodyFound_IsOdd()
    {
        _history.Verified(5, "drive A");

        Assert.Null(Now.Find(Clip(5)));
        Assert.Contains(Now.View(LedgerQuery.All).Oddities, odd => odd.Clip == Clip(5));
    }

    [Fact]
    public void Proof_OlderThanTheRuleAllows_IsOverdue()
    {
        _history.DeclareRidgeKit(recheckAge: Duration.FromDays(7));
        OffloadTwoClips();
        Assert.Equal(CardState.MayBeFormatted, Card.State);

        _history.Clock += Duration.FromDays(8);

        Assert.Equal(CopyStanding.Overdue, CopyOn("drive A").Standing);
        Assert.Equal(CardState.OnHold, Card.State);
    }

    [Fact]
    public void Day_OneCopyClips_CountsOverdueCopiesAsCopies()
    {
        _history.DeclareRidgeKit(recheckAge: Duration.FromDays(7));
        OffloadTwoClips();
        _history.Find("card 1", "v1", 7).Made(7, "drive A").Verified(7, "drive A").Find("card 1", "v1", 8);

        Assert.Equal((2, 1), OneCopyClips());
        _history.Clock += Duration.FromDays(8);
        Assert.Equal((2, 1), OneCopyClips());

        (int, int) OneCopyClips() => (Now.View(LedgerQuery.All).Days.Sum(day => day.OneCopyClips), Now.View(LedgerQuery.All).Days.Sum(day => day.NoCopyClips));
    }

    [Fact]
    public void Card_FormattedWithOverdueProof_IsNotShort()
    {
        _history.DeclareRidgeKit(recheckAge: Duration.FromDays(7));
        OffloadTwoClips();
        _history.Format("card 1", "v1");
        _history.Clock += Duration.FromDays(8);

        Assert.Equal(CardState.Formatted, Card.State);
    }

    [Fact]
    public void Note_ThatComesDaysLate_MovesHistory()
    {
        OffloadTwoClips();
        Instant night = _history.Clock;
        _history.Clock += Duration.FromDays(2);
        _history.Place("case 2", "valley", since: night - Duration.FromHours(1)).Declare(new Team(Id("valley"), Id("valley hide")));
        FootageLedger ledger = FootageLedger.Of(_history.Reports);

        Assert.Equal(Id("valley"), ledger.At(night).Find(Clip(1))!.Copies.Single(copy => copy.Drive == Id("drive B")).Carrier);
        Assert.Equal(Id("ridge"), ledger.At(night - Duration.FromHours(2)).View(LedgerQuery.All).Drives.Single(drive => drive.Drive == Id("drive B")).Carrier);
    }

    [Fact]
    public void Past_IsJudgedWithoutWhatCameLater()
    {
        OffloadTwoClips();
        Instant then = _history.Clock;
        _history.Failed(1, "drive B", CopyFailure.HashDiffers);

        Assert.Equal(CardState.MayBeFormatted, FootageLedger.Of(_history.Reports).At(then - Duration.Epsilon).Cards.Single().State);
        Assert.Equal(CardState.OnHold, Card.State);
    }

    [Fact]
    public void Release_AgainstTheRule_StandsAndCoversNothingFoundLater()
    {
        _history.See("card 1", "v1", 1).Find("card 1", "v1", 1).Verified(1, "drive A").Release("card 1", "v1");

        Assert.Equal(CardState.MayBeFormatted, Card.State);
        Assert.Contains("the river took case 2", Card.Override!, StringComparison.Ordinal);

        _history.Find("card 1", "v1", 2);

        Assert.Equal(CardState.OnHold, Card.State);
        Assert.NotNull(Card.Override);
    }

    [Fact]
    public void Release_WithoutAKeepersRight_ReleasesNothing()
    {
        _history.See("card 1", "v1", 1).Find("card 1", "v1", 1).Verified(1, "drive A").Release("card 1", "v1");

        Assert.Equal(CardState.OnHold, FootageLedger.Of(_history.Reports, new NoRights()).Now(_history.Clock).Cards.Single().State);
    }

    [Fact]
    public void Card_SeenAgainWithoutAClip_TellsThatItWasDeletedByHand()
    {
        _history.See("card 1", "v1", 2).Find("card 1", "v1", 1).Find("card 1", "v1", 2);
        _history.See("card 1", "v2", 1).Find("card 1", "v2", 2);
        ProveEverywhere(2);

        Assert.Equal(CardState.MayBeFormatted, Card.State);
        Assert.Equal(1, Card.Clips);
        Assert.Equal(1, Card.ShortAndGone);
        Assert.Contains(Now.View(LedgerQuery.All).Oddities, odd => odd.Message.Contains("deleted by hand", StringComparison.Ordinal));
    }

    [Fact]
    public void Card_SeenEmpty_CountsAsFormatted()
    {
        _history.See("card 1", "v1", 1).Find("card 1", "v1", 1).See("card 1", "v2", 0);

        Assert.Equal(CardState.FormattedShort, Card.State);
    }

    [Fact]
    public void Drive_FreeRoom_CountsWhatWasCopiedSinceItWasSeen()
    {
        _history.State("drive A", "id-1", freeGigabytes: 100).Find("card 1", "v1", 1).Made(1, "drive A").Verified(1, "drive A");

        Assert.Equal(ByteCount.FromGigabytes(99), Now.View(LedgerQuery.All).Drives[0].Free);
    }

    [Fact]
    public void Query_ByEachKey_FindsTheClip()
    {
        OffloadTwoClips();
        _history.See("card 2", "v2", 1, source: "camera 2").Find("card 2", "v2", 3).Verified(3, "drive A");

        Assert.Equal(3, Now.View(LedgerQuery.All).ClipsTotal);
        Assert.Equal(2, Now.View(new LedgerQuery(Card: Id("card 1"))).ClipsTotal);
        Assert.Equal(2, Now.View(new LedgerQuery(Drive: Id("drive B"))).ClipsTotal);
        Assert.Equal(3, Now.View(new LedgerQuery(Case: Id("case 1"))).ClipsTotal);
        Assert.Equal(3, Now.View(new LedgerQuery(Day: new LocalDate(2027, 2, 1))).ClipsTotal);
        Assert.Equal(0, Now.View(new LedgerQuery(Day: new LocalDate(2027, 2, 2))).ClipsTotal);
        Assert.Equal(1, Now.View(new LedgerQuery(Clip: Clip(3))).ClipsTotal);
        Assert.Equal(0, Now.View(new LedgerQuery(Clip: Clip(4))).ClipsTotal);
        Assert.Equal(1, Now.View(new LedgerQuery(Source: Id("camera 2"))).ClipsTotal);
        Assert.Equal(2, Now.View(new LedgerQuery(Team: Id("ridge"))).ClipsTotal);
        Assert.Equal(1, Now.View(new LedgerQuery(ShortOnly: true)).ClipsTotal);
        Assert.Equal(Clip(2), Now.View(new LedgerQuery(Skip: 1, Limit: 1)).Clips.Single().Clip);
    }

    [Fact]
    public void Days_ShowTheGridOfDaysAndCases()
    {
        OffloadTwoClips();
        DayRow day = Now.View(LedgerQuery.All).Days.Single();

        Assert.Equal(3, day.LeastCopies);
        Assert.Equal([new CaseCell(Id("case 1"), 2, 2), new CaseCell(Id("case 2"), 2, 2), new CaseCell(Id("case 3"), 2, 2)], day.Cases);
    }

    [Fact]
    public void Day_OfACameraWithADeadClock_IsTheDayItWasFound()
    {
        _history.Find("card 1", "v1", 1, recorded: Instant.FromUnixTimeSeconds(0));
        _history.Find("card 1", "v1", 2, recorded: Instant.FromUtc(2099, 1, 1, 0, 0));

        Assert.All(Now.View(LedgerQuery.All).Clips, clip => Assert.Equal(new LocalDate(2027, 2, 1), clip.Day));
    }

    private void OffloadTwoClips(int files = 2)
    {
        _history.See("card 1", "v1", files).Find("card 1", "v1", 1).Find("card 1", "v1", 2);
        ProveEverywhere(1);
        ProveEverywhere(2);
    }

    private void ProveEverywhere(int clip)
    {
        foreach (string drive in (string[])["drive A", "drive B", "drive C"])
        {
            _history.Made(clip, drive).Verified(clip, drive);
        }
    }

    private sealed class NoRights : IWriterRights
    {
        public bool MayProve(ReportKey report) => false;

        public bool MayRelease(ReportKey report) => false;
    }
}
