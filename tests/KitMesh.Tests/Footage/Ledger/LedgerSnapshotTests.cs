using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.TestKit.Footage;
using static KitMesh.TestKit.Footage.FootageHistory;

namespace KitMesh.Tests.Footage.Ledger;

/// <summary>A snapshot is a picture: what arrives later is not in it, and reading it beside new reports is safe.</summary>
public sealed class LedgerSnapshotTests
{
    [Fact]
    public void Snapshot_IsNotChangedByLaterReports()
    {
        var history = new FootageHistory().DeclareRidgeKit();
        history.See("card 1", "v1", 1).Find("card 1", "v1", 1).Verified(1, "drive A");
        FootageLedger ledger = FootageLedger.Of(history.Reports);
        LedgerSnapshot snapshot = ledger.Now(history.Clock);
        LedgerView before = snapshot.View(LedgerQuery.All);
        int known = history.Reports.Count;

        history.Clock -= NodaTime.Duration.FromMinutes(1);
        history.Verified(1, "drive B").Find("card 1", "v1", 2).Failed(1, "drive A", CopyFailure.Missing).Verified(1, "drive C");
        foreach (TimedReport report in history.Reports.Skip(known))
        {
            ledger.Add(report);
        }

        Assert.Equal(before, snapshot.View(LedgerQuery.All));
        Assert.Null(snapshot.Find(Clip(2)));
    }

    [Fact]
    public async Task Snapshot_ReadWhileReportsArrive_StaysWhole()
    {
        var history = new FootageHistory().DeclareRidgeKit();
        for (int clip = 0; clip < 500; clip++)
        {
            history.Find("card 1", "v1", clip).Verified(clip, "drive A").Verified(clip, "drive B").Verified(clip, "drive C");
        }

        FootageLedger ledger = FootageLedger.Of(history.Reports.Take(1000));
        LedgerSnapshot snapshot = ledger.Now(history.Clock);
        LedgerView expected = snapshot.View(LedgerQuery.All);
        Task filing = Task.Run(
            () =>
            {
                foreach (TimedReport report in history.Reports.Skip(1000))
                {
                    ledger.Add(report);
                }
            },
            TestContext.Current.CancellationToken);

        while (!filing.IsCompleted)
        {
            Assert.Equal(expected, snapshot.View(LedgerQuery.All));
        }

        await filing;
        Assert.Equal(500, ledger.Now(history.Clock).ClipCount);
    }
}
