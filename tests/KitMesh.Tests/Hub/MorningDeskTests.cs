using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Pages;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Footage;

namespace KitMesh.Tests.Hub;

/// <summary>What the page "Morning" says of the room on a camera's cards.</summary>
public sealed class MorningDeskTests
{
    /// <summary>256 GB at 1 GB in so many minutes.</summary>
    [Theory]
    [InlineData(0.05, "about 12.8 min at its own bit rate", true)]
    [InlineData(2, "about 8.5 h at its own bit rate", false)]
    public void Of_FreeCard_SaysHowLongItRecordsAndWhenThatIsTooShort(double minutes, string room, bool tooShort)
    {
        FootageHistory history = new FootageHistory().DeclareRidgeKit().See("card 1", "v1", 1).Find("card 1", "v1", 1, minutes: minutes);
        foreach (string drive in (string[])["drive A", "drive B", "drive C"])
        {
            history.Verified(1, drive);
        }

        TripState state = TripState.Fold(history.Reports.Select(timed => new ContentReport(timed.Report, Sha256Hash.Of(ReportCodec.Encode(timed.Report)))));
        LedgerView ledger = FootageLedger.Of(history.Reports).Now(history.Clock).View(LedgerQuery.All);

        MorningRow camera = Assert.Single(MorningDesk.Of(state, ledger, null, history.Clock).Devices);

        Assert.Contains(room, camera.Memory, StringComparison.Ordinal);
        Assert.Equal(tooShort, camera.Todo.Any(words => words.Contains("less than half an hour", StringComparison.Ordinal)));
    }
}
