using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.TestKit.Footage;
using NodaTime;
using static KitMesh.TestKit.Footage.FootageHistory;

namespace KitMesh.Tests.Footage.Ledger;

/// <summary>The day × case grid tells what is overdue from what is missing.</summary>
public sealed class DayGridTests
{
    private readonly FootageHistory _history = new FootageHistory().DeclareRidgeKit(copies: 2, drives: 2, cases: 2, recheckAge: Duration.FromDays(7));

    private DayRow Day => FootageLedger.Of(_history.Reports).Now(_history.Clock).View(LedgerQuery.All).Days.Single();

    public DayGridTests() => _history.See("card 1", "v1", 2)
        .Find("card 1", "v1", 1).Find("card 1", "v1", 2)
        .Verified(1, "drive A").Verified(1, "drive B").Verified(2, "drive A").Verified(2, "drive B");

    [Fact]
    public void Cell_OfOverdueCopies_IsThereAndSaysHowManyToRecheck()
    {
        Assert.All(Day.Cases, cell => Assert.Equal((2, 0), (cell.Clips, cell.OverdueClips)));
        _history.Clock += Duration.FromDays(8);

        Assert.Equal(["case 1", "case 2"], Day.Cases.Select(cell => cell.Case!.Value.Value));
        Assert.All(Day.Cases, cell => Assert.Equal((0, 2), (cell.Clips, cell.OverdueClips)));
        Assert.Equal((0, 2), (Day.ClipsMet, Day.OverdueClips));
    }

    [Fact]
    public void Cell_HalfRechecked_CountsEachClipOnce()
    {
        _history.Clock += Duration.FromDays(8);
        _history.Verified(1, "drive A", recheck: true);

        CellIs("case 1", clips: 1, overdue: 1);
        CellIs("case 2", clips: 0, overdue: 2);
    }

    [Fact]
    public void Cell_WithAProvenAndAnOverdueCopyOfOneClip_IsProvenThere()
    {
        _history.Clock += Duration.FromDays(8);
        _history.Place("drive B", "case 1");
        _history.Verified(1, "drive A", recheck: true).Verified(2, "drive B", recheck: true);

        CellIs("case 1", clips: 2, overdue: 0);
    }

    [Fact]
    public void Day_ThatLacksCopiesToo_CountsOnlyWhatARecheckWouldMend()
    {
        _history.Find("card 1", "v1", 3).Verified(3, "drive A");
        _history.Clock += Duration.FromDays(8);

        Assert.Equal((3, 0, 2), (Day.Clips, Day.ClipsMet, Day.OverdueClips));
    }

    [Fact]
    public void ClipAndCard_WithOverdueProofs_AskForARecheck()
    {
        _history.Clock += Duration.FromDays(8);
        LedgerView view = FootageLedger.Of(_history.Reports).Now(_history.Clock).View(LedgerQuery.All);

        Assert.All(view.Clips, clip => Assert.Equal("a recheck: proofs older than the rule allows", clip.Missing));
        Assert.Contains("C0001.MP4 wants a recheck", view.Cards.Single(card => card.Card == Id("card 1")).Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Release_ShowsItsTimeByTheCrewsClock()
    {
        _history.Find("card 1", "v1", 3);
        Instant released = _history.Clock;
        _history.Release("card 1", "v1");

        string words = FootageLedger.Of(_history.Reports).Now(_history.Clock).View(LedgerQuery.All).Cards.Single(card => card.Card == Id("card 1")).Override!;

        // The trip's zone is +05:00, and the release was written on the first morning at 06:xx UTC.
        Assert.Equal(6, released.InUtc().Hour);
        Assert.Contains($"1 Feb 11:{released.InUtc().Minute:00} (+05:00)", words, StringComparison.Ordinal);
    }

    private void CellIs(string name, int clips, int overdue)
    {
        CaseCell cell = Day.Cases.Single(cell => cell.Case == Id(name));
        Assert.Equal((clips, overdue), (cell.Clips, cell.OverdueClips));
    }
}
