using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.Outlook.Advice;
using KitMesh.Outlook.Footage;
using KitMesh.TestKit.Footage;
using NodaTime;
using static KitMesh.TestKit.Footage.FootageHistory;

namespace KitMesh.Tests.Outlook.Advice;

/// <summary>The short list: quiet when all is well, ranked when not.</summary>
public sealed class AdviceDeskTests
{
    private readonly FootageHistory _history = new FootageHistory().DeclareRidgeKit();

    [Fact]
    public void Advice_WithNothingToDo_IsQuiet()
    {
        foreach (string drive in (string[])["drive A", "drive B", "drive C"])
        {
            _history.State(drive, drive, freeGigabytes: 20_000, gigabytes: 20_000);
        }

        Offload(1, "drive A", "drive B", "drive C");

        Assert.Empty(Advise([]).Items);
        Assert.Equal(0, Advise([]).LeftOut);
    }

    [Fact]
    public void Card_OnHold_IsNamedWithReasonAndEvening()
    {
        Offload(1, "drive A");
        KitMesh.Domain.Results.Advice advice = Advise([]).Items.First(item => item.Subject == Id("card 1"));

        Assert.Equal(AdviceCategory.Footage, advice.Category);
        Assert.Contains("1 of 3 proven copies", advice.Reason, StringComparison.Ordinal);
        Assert.Equal(Instant.FromUtc(2027, 2, 1, 16, 0), advice.Deadline);
    }

    [Fact]
    public void Rechecks_OfSeveralDrives_AreOneLine()
    {
        _history.DeclareRidgeKit(recheckAge: Duration.FromDays(7));
        Offload(1, "drive A", "drive B", "drive C");
        Offload(2, "drive B");
        _history.Clock += Duration.FromDays(8);

        KitMesh.Domain.Results.Advice advice = Assert.Single(Advise([]).Items, item => item.Key.StartsWith("footage/recheck", StringComparison.Ordinal));

        Assert.Equal("recheck drive B, drive A and drive C", advice.What);
        Assert.StartsWith("4 copies on them were not proven for longer than the rule allows", advice.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Danger_ComesBeforeEverything()
    {
        Offload(1, "drive A");
        var alert = new Alert("pack-cold-charge", Id("ridge bank"), AlertWeight.Danger, _history.Clock, "charging at -8 °C", "unplug the charger now");

        Assert.Equal("ridge bank: unplug the charger now", Advise([alert]).Items[0].What);
        Assert.Equal(AdviceCategory.Safety, Advise([alert]).Items[0].Category);
    }

    [Fact]
    public void Alert_GoodToKnow_IsNoAdvice()
    {
        var alert = new Alert("clock-wrong", Id("hide recorder 3"), AlertWeight.Know, _history.Clock, "2 h off", "set it when you can");

        Assert.DoesNotContain(Advise([alert]).Items, item => item.Key.StartsWith("alert/", StringComparison.Ordinal));
    }

    [Fact]
    public void List_IsCutToWhatATiredPersonReads()
    {
        ValueList<Alert> alerts = Enumerable.Range(0, 20)
            .Select(i => new Alert("agent-silent", Id($"recorder {i}"), AlertWeight.Act, _history.Clock, "not heard", "look at it"))
            .ToValueList();
        AdviceList list = Advise(alerts);

        Assert.Equal(AdviceList.MaxItems, list.Items.Count);
        Assert.True(list.LeftOut >= 20 - AdviceList.MaxItems);
    }

    [Fact]
    public void SingleCopy_GetsTheMoveThatHelpsMost()
    {
        Offload(1, "drive A");
        _history.Release("card 1", "v1");

        Assert.Contains(Advise([]).Items, item => item.Key == "footage/move" && item.What.StartsWith("copy day 1 to drive", StringComparison.Ordinal));
    }

    private AdviceList Advise(ValueList<Alert> alerts)
    {
        LedgerSnapshot snapshot = FootageLedger.Of(_history.Reports).Now(_history.Clock);
        return AdviceDesk.Advise(new AdviceQuestion(
            _history.Clock,
            null,
            null,
            snapshot.View(new LedgerQuery(Limit: 0)),
            FootageOutlooks.Answer(new FootageOutlookQuestion(snapshot.Holdings())),
            alerts));
    }

    private void Offload(int clip, params string[] drives)
    {
        _history.See("card 1", "v1", 1).Find("card 1", "v1", clip);
        foreach (string drive in drives)
        {
            _history.Made(clip, drive).Verified(clip, drive);
        }
    }
}
