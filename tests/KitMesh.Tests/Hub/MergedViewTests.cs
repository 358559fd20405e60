using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Storage;
using KitMesh.Storage.Queries;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;

namespace KitMesh.Tests.Hub;

public sealed class MergedViewTests
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 21, 18, 0);
    private static readonly Instant Dead = Instant.FromUtc(2026, 1, 1, 0, 0);
    private readonly ReportMaker _right = new("ridge-agent", 9);
    private readonly ReportMaker _lost = new("hide-agent", 4);

    [Fact]
    public async Task ClockPair_OfOneAgentAfterItsReports_MovesItsTimesAndNobodyElses()
    {
        await using TestHub hub = await TestHub.StartAsync(now: Now);
        await AppendAsync(hub, _right, Now - Duration.FromHours(5), 100);
        await AppendAsync(hub, _lost, Dead, 100);
        await hub.Application.WhenCaughtUpAsync(Cancel);
        IReadOnlyList<KeptReport> before = await ReadAsync(hub);

        await PairAsync(hub, _lost, Dead, Now - Duration.FromHours(3));
        await hub.Application.WhenCaughtUpAsync(Cancel);

        IReadOnlyList<KeptReport> after = await ReadAsync(hub);
        Assert.Equal(TimesOf(before, _right.Origin), TimesOf(after, _right.Origin));
        Assert.All(TimesOf(before, _lost.Origin), time => Assert.True(time < Dead + Duration.FromDays(1)));
        Assert.All(TimesOf(after, _lost.Origin), time => Assert.InRange(time, Now - Duration.FromHours(4), Now));
    }

    [Fact]
    public async Task ManyChunks_WithClockPairsInBetween_GiveWhatAReplayFromScratchGives()
    {
        string folder = Directory.CreateTempSubdirectory("kitmesh-hub-").FullName;
        IReadOnlyList<KeptReport> stored;
        await using (TestHub hub = await TestHub.StartAsync(folder, now: Now))
        {
            await AppendAsync(hub, _lost, Dead, 9_000);
            await AppendAsync(hub, _right, Now - Duration.FromHours(5), 9_000);
            await hub.Application.WhenCaughtUpAsync(Cancel);
            await PairAsync(hub, _lost, Dead, Now - Duration.FromHours(3));
            await AppendAsync(hub, _lost, Dead + Duration.FromHours(1), 9_000, first: 9_001);
            await AppendAsync(hub, _right, Now - Duration.FromHours(2), 9_000, first: 9_001);
            await hub.Application.WhenCaughtUpAsync(Cancel);
            stored = await ReadAsync(hub);
        }

        Directory.Delete(Path.Combine(folder, "store"), recursive: true);
        await using (TestHub again = await TestHub.StartAsync(folder, now: Now))
        {
            await again.Application.WhenCaughtUpAsync(Cancel);
            IReadOnlyList<KeptReport> replayed = await ReadAsync(again);
            Assert.Equal(stored.Select(report => (report.Raw.Key, report.Time)), replayed.Select(report => (report.Raw.Key, report.Time)));
        }

        await using (TestHub kept = await TestHub.StartAsync(folder, now: Now))
        {
            IReadOnlyList<KeptReport> known = await ReadAsync(kept);
            Assert.Equal(stored.Select(report => (report.Raw.Key, report.Time)), known.Select(report => (report.Raw.Key, report.Time)));
        }

        Directory.Delete(folder, recursive: true);
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static async Task AppendAsync(TestHub hub, ReportMaker maker, Instant from, int count, int first = 1)
    {
        RawReport[] reports = [.. Enumerable.Range(0, count).Select(i => maker.Temperature((ulong)(first + i), from + Duration.FromMilliseconds(100 * i), -10).Raw)];
        await hub.Application.Core.Intake.AppendAsync(reports, Cancel);
    }

    private static async Task PairAsync(TestHub hub, ReportMaker maker, Instant wall, Instant truth)
    {
        var subject = new DeviceTime(wall, new BootId(7), (wall - ReportMaker.Start).ToInt64Nanoseconds());
        var observer = new DeviceTime(truth, new BootId(55), 1);
        await hub.Application.Core.Intake.WriteAsync(
            [new ClockPair(maker.Origin.Node, subject, ClockTrust.Unknown, observer, ClockTrust.SatelliteFix, Duration.FromMilliseconds(5))], Cancel);
    }

    private static async Task<IReadOnlyList<KeptReport>> ReadAsync(TestHub hub)
    {
        ReportPage page = await hub.Application.Core.Keeper.Store.ReadAsync(
            new ReportQuery(Kinds: [ReportKind.TemperatureReading], Limit: StoreLimits.MaxPage), Cancel);
        return page.Reports;
    }

    private static IEnumerable<Instant> TimesOf(IReadOnlyList<KeptReport> reports, OriginId origin) =>
        reports.Where(report => report.Raw.Key.Origin == origin).Select(report => report.Time);
}
