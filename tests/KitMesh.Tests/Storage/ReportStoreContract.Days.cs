using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Storage;
using KitMesh.Storage.Days;
using KitMesh.Storage.RollUps;
using KitMesh.TestKit.Storage;
using KitMesh.Tests.Storage.Days;
using NodaTime;

namespace KitMesh.Tests.Storage;

/// <summary>Days told ahead, on every store.</summary>
public abstract partial class ReportStoreContract
{
    private static readonly SeriesKey Probe = new(KitId.Parse("box 1"), SeriesQuantity.Temperature, "probe");
    private static readonly LocalDate Told = new(2027, 2, 13);
    private static readonly Instant AfterDay = CrewDay.Of(Told, Offset.Zero).Until + Duration.FromHours(8);

    /// <summary>The law of days told ahead: whatever part of the readings came so far, each day is the word or the readings, and in the end the readings alone.</summary>
    [Fact]
    public async Task Days_ToldThenReadInPieces_AreNeverCountedBoth_AndEndAsTheReadingsAlone()
    {
        for (int seed = 1; seed <= 5; seed++)
        {
            var random = new Random(seed);
            List<IncomingReport> readings = Readings(random);
            await using IReportStore team = await OpenEmptyAsync();
            await team.WriteAsync(readings, Here, Cancel);
            IReadOnlyList<DayRolledUp> words = await new DayTelling(NodeId.Parse("ridge-hub"), TripState.Empty, AfterDay).DueAsync(team, 100, Cancel);
            var hub = new ReportMaker("ridge-hub");
            TripState state = ToldDaysTests.Fold(words.Select((word, i) => hub.Make((ulong)i + 1, AfterDay, word)));
            var told = ToldDays.Of(state, Offset.Zero);
            IReadOnlyList<DayFigure> whole = DayFigure.OfHours(Probe, await HoursAsync(team), Offset.Zero);
            Assert.Equal(whole.Select(day => (day.Day, day.Samples)), told.DaysOf(Probe).Select(day => (day.Day, day.Samples)));

            await using IReportStore camp = await OpenEmptyAsync();
            random.Shuffle(System.Runtime.InteropServices.CollectionsMarshal.AsSpan(readings));
            foreach (IncomingReport[] part in readings.Chunk(random.Next(20, 60)))
            {
                IReadOnlyList<RollUp> here = await HoursAsync(camp);
                IReadOnlyList<DayFigure> stands = told.StandInsFor(Probe, here);
                foreach (DayFigure day in whole)
                {
                    long read = here.Where(hour => CrewDay.Holding(hour.Start, Offset.Zero) == day.Day).Sum(hour => (long)hour.Samples);
                    Assert.Equal(read < day.Samples, stands.Any(one => one.Day == day.Day));
                }

                await camp.WriteAsync(part, Here, Cancel);
            }

            Assert.Empty(told.StandInsFor(Probe, await HoursAsync(camp)));
            Assert.Equal(whole, DayFigure.OfHours(Probe, await HoursAsync(camp), Offset.Zero));
            Assert.Empty(await new DayTelling(NodeId.Parse("base-camp"), state, AfterDay).DueAsync(camp, 100, Cancel));
        }
    }

    [Fact]
    public async Task Days_Told_SayWhatTheReadingsSay()
    {
        await using IReportStore store = await OpenEmptyAsync();
        Instant from = CrewDay.Of(Told, Offset.Zero).From;
        await store.WriteAsync(
            [_ridge.Temperature(1, from + Duration.FromHours(1), -10), _ridge.Temperature(2, from + Duration.FromMinutes(90), -20), _ridge.Temperature(3, from + Duration.FromHours(2), -30), _ridge.Temperature(4, from + Duration.FromHours(30), 0)],
            Here,
            Cancel);

        DayRolledUp day = Assert.Single(await new DayTelling(NodeId.Parse("ridge-hub"), TripState.Empty, AfterDay).DueAsync(store, 100, Cancel));

        // Half an hour each of -10 and -20, and -30 for the hour that a value is believed to hold: -22.5 on the average.
        Assert.Equal((from, from + Duration.FromHours(24)), (day.From, day.Until));
        Assert.Equal(new DayLine(SeriesQuantity.Temperature, "probe", 3, -30_000_000, -22_500_000, -10_000_000, -30_000_000, Duration.FromHours(2)), Assert.Single(day.Lines));
    }

    [Fact]
    public async Task Days_Due_OnceThenAgainWithMoreAfterAnHour_NeverForADayThatIsNotOver()
    {
        await using IReportStore store = await OpenEmptyAsync();
        Instant from = CrewDay.Of(Told, Offset.Zero).From;
        await store.WriteAsync([_ridge.Temperature(1, from + Duration.FromHours(1), -10), _ridge.Temperature(2, AfterDay, -5)], Here, Cancel);
        var hub = new ReportMaker("ridge-hub");
        Task<IReadOnlyList<DayRolledUp>> DueAsync(Instant now, params IncomingReport[] told) => new DayTelling(NodeId.Parse("ridge-hub"), ToldDaysTests.Fold(told), now).DueAsync(store, 100, Cancel);

        Assert.Empty(await DueAsync(from + Duration.FromHours(24) + Duration.FromMinutes(14)));
        IncomingReport first = hub.Make(1, AfterDay, Assert.Single(await DueAsync(AfterDay)));
        Assert.Empty(await DueAsync(AfterDay + Duration.FromHours(2), first));
        await store.WriteAsync([_ridge.Temperature(3, from + Duration.FromHours(9), -12)], Here, Cancel);
        Assert.Empty(await DueAsync(AfterDay + Duration.FromMinutes(59), first));
        Assert.Equal(2, Assert.Single(Assert.Single(await DueAsync(AfterDay + Duration.FromMinutes(60), first)).Lines).Samples);
    }

    [Fact]
    public async Task Days_OfAnotherTeam_AreLeftToItsHub()
    {
        await using IReportStore store = await OpenEmptyAsync();
        Instant from = CrewDay.Of(Told, Offset.Zero).From;
        await store.WriteAsync([_ridge.Battery(1, from, 13.1, "ridge bank"), _ridge.Battery(2, from, 13.1, "hide bank"), _ridge.Temperature(3, from, 1, "the tent")], Here, Cancel);
        var keeper = new ReportMaker("keeper");
        KitItem[] kit =
        [
            Bank("ridge bank", "ridge team"), Bank("hide bank", "hide team"),
            new WatchedAgent(NodeId.Parse("ridge-hub"), KitId.Parse("ridge team"), Duration.FromHours(2)),
        ];
        TripState state = ToldDaysTests.Fold(kit.Select((item, i) => keeper.Make((ulong)i + 1, from, new KitDeclared(item, false))));
        async Task<IEnumerable<string>> DueAsync(string node) => (await new DayTelling(NodeId.Parse(node), state, AfterDay).DueAsync(store, 100, Cancel)).Select(day => day.Item.Value).Order(StringComparer.Ordinal);

        Assert.Equal(["ridge bank", "the tent"], await DueAsync("ridge-hub"));
        Assert.Equal(["hide bank", "ridge bank", "the tent"], await DueAsync("base-camp"));
    }

    [Fact]
    public async Task Size_WithReports_IsMoreThanTheirBytes()
    {
        await using IReportStore store = await OpenEmptyAsync();
        var random = new Random(1);
        string Words() => Convert.ToBase64String(Enumerable.Range(0, 3_000).Select(_ => (byte)random.Next(256)).ToArray());
        await store.WriteAsync([.. Enumerable.Range(1, 500).Select(i => _ridge.Note((ulong)i, ReportMaker.Start, Words()))], Here, Cancel);

        Assert.InRange(await store.SizeAsync(Cancel), 500 * 3_000, 20_000_000);
    }

    private static Bank Bank(string name, string team) => new(KitId.Parse(name), KitId.Parse(team), null, new StateOfCharge(1), new StateOfCharge(0.2), null, null);

    private static Task<IReadOnlyList<RollUp>> HoursAsync(IReportStore store) =>
        store.ReadRollUpsAsync(new RollUpQuery(Probe, RollUpSpan.Hour, AfterDay - Duration.FromDays(20), AfterDay), Cancel);

    private List<IncomingReport> Readings(Random random)
    {
        Instant from = CrewDay.Of(Told.PlusDays(-2), Offset.Zero).From;
        return [.. Enumerable.Range(1, 300).Select(i => _ridge.Temperature((ulong)i, from + Duration.FromSeconds(random.Next(3 * 86_400)), Math.Round(random.NextDouble() * -30, 2)))];
    }
}
