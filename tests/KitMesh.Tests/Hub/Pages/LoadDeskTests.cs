using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Pages;
using KitMesh.Storage;
using KitMesh.Storage.Days;
using KitMesh.Storage.RollUps;
using KitMesh.TestKit.Storage;
using NodaTime;

namespace KitMesh.Tests.Hub.Pages;

/// <summary>What devices took by the crew's day, against sums that can be done by hand.</summary>
public sealed class LoadDeskTests
{
    /// <summary>Six in the evening of 14 February for a crew five hours ahead.</summary>
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 13, 0);

    private static readonly Offset Zone = Offset.FromHours(5);
    private static readonly Load Camera = new(KitId.Parse("ridge camera"), KitId.Parse("ridge team"), KitId.Parse("ridge bank"), LoadClass.Work, 1, new WattHours(70), 0.3, new WattHours(150), new Watts(60), Chemistry.Nmc);

    [Fact]
    public void Of_TenWattsAllTheTime_Is240WattHoursACivilDay()
    {
        LoadRow row = LoadDesk.Of(Camera, Watts(Now - Duration.FromDays(3), 72, 10), [], [], Now, Zone);

        Assert.Equal(180, row.Days[0]!.Taken.Value, 6); // 18 hours of today.
        Assert.True(row.Days[0]!.IsWhole);
        Assert.Equal(240, row.Days[1]!.Taken.Value, 6);
        Assert.Equal(240, row.Days[2]!.Taken.Value, 6);
        Assert.Equal(60, row.Days[3]!.Taken.Value, 6); // Its last six hours.
        Assert.False(row.Days[3]!.IsWhole);
        Assert.Null(row.Days[4]);
        Assert.Equal(240, row.Mean!.Value.Value, 6);
    }

    [Fact]
    public void Of_AnHourBeforeTheCrewsMidnight_BelongsToTheDayBefore()
    {
        Instant midnight = Instant.FromUtc(2027, 2, 13, 19, 0);

        LoadRow row = LoadDesk.Of(Camera, Watts(midnight - Duration.FromHours(1), 2, 30), [], [], Now, Zone);

        Assert.Equal(30, row.Days[0]!.Taken.Value, 6);
        Assert.Equal(30, row.Days[1]!.Taken.Value, 6);
    }

    [Fact]
    public void Of_HalfAnHourKnown_IsHalfAnHoursEnergy()
    {
        RollUp half = Watts(Now - Duration.FromHours(2), 1, 40)[0] with { Known = Duration.FromMinutes(30) };

        LoadRow row = LoadDesk.Of(Camera, [half], [], [], Now, Zone);

        Assert.Equal(20, row.Days[0]!.Taken.Value, 6);
        Assert.Equal("at least 20 (seen 0.5 h)", PageText.LoadDayWords(row.Days[0]));
        Assert.Null(row.Mean);
    }

    [Fact]
    public void Of_CounterThatRestarts_CountsFromZeroAndBeatsThePower()
    {
        RollUp[] counter = [Counter(4, 1_000), Counter(3, 1_012), Counter(2, 5), Counter(1, 6)];

        LoadRow row = LoadDesk.Of(Camera, Watts(Now - Duration.FromHours(4), 4, 500), counter, [], Now, Zone);

        Assert.Equal(12 + 5 + 1, row.Days[0]!.Taken.Value, 6);
    }

    [Fact]
    public void Of_ADayToldAhead_StandsInUntilItsReadingsAreHere()
    {
        var yesterday = CrewDay.Of(new LocalDate(2027, 2, 13), Zone);
        var line = new DayLine(SeriesQuantity.LoadWatts, "", 1_440, 0, 10_000_000, 30_000_000, 5_000_000, Duration.FromHours(23));
        IncomingReport word = new ReportMaker("ridge-hub").Make(1, Now - Duration.FromHours(3), new DayRolledUp(Camera.Id, yesterday.From, yesterday.Until, ValueList.Create<DayLine>([line])));
        var told = ToldDays.Of(Storage.Days.ToldDaysTests.Fold([word]), Zone);
        RollUp[] some = [.. Watts(yesterday.From, 24, 10).Select(hour => hour with { Samples = 59 })];
        RollUp[] all = [.. some.Select(hour => hour with { Samples = 60 })];

        LoadRow before = LoadDesk.Of(Camera, some, [], [], Now, Zone, told);
        LoadRow after = LoadDesk.Of(Camera, all, [], [], Now, Zone, told);

        Assert.Equal(230, before.Days[1]!.Taken.Value, 6);
        Assert.Equal("230 (second-hand, ridge-hub told it 3 hours ago)", PageText.LoadDayWords(before.Days[1]));
        Assert.Equal(240, before.Mean!.Value.Value, 6); // 230 Wh in 23 hours.
        Assert.Equal(240, after.Days[1]!.Taken.Value, 6);
        Assert.Null(after.Days[1]!.By);
    }

    [Fact]
    public void Of_CounterReadTwiceADay_SharesTheRiseOutOverTheHours()
    {
        // 120 Wh in the twelve hours from seven in the evening to seven in the morning: five of them before midnight.
        LoadRow row = LoadDesk.Of(Camera, [], [Counter(24, 0), Counter(12, 120)], [], Now, Zone);

        Assert.Equal(120.0 * 7 / 12, row.Days[0]!.Taken.Value, 6);
        Assert.Equal(120.0 * 5 / 12, row.Days[1]!.Taken.Value, 6);
    }

    [Fact]
    public void Of_CounterWithAGapOverADay_LeavesTheGapOut()
    {
        LoadRow row = LoadDesk.Of(Camera, [], [Counter(60, 0), Counter(2, 900), Counter(1, 910)], [], Now, Zone);

        Assert.Equal(10, row.Days[0]!.Taken.Value, 6);
        Assert.Null(row.Days[1]);
    }

    [Fact]
    public void Of_ChargeAlone_CountsWhatCameIntoTheBatteryAndNoSwap()
    {
        // A battery of 150 Wh at a charger of 60 W: 0.2 to 0.5 in an hour is 45 Wh; 0.3 to 0.9 in an hour would be 90 W, a swap.
        RollUp[] charge = [Counter(5, 0.2), Counter(4, 0.5), Counter(3, 0.3), Counter(2, 0.9), Counter(1, 0.8)];

        LoadRow row = LoadDesk.Of(Camera, [], [], charge, Now, Zone);

        Assert.Equal(45, row.Days[0]!.Taken.Value, 6);
        Assert.Equal(4, row.Days[0]!.Seen.TotalHours, 6);
        Assert.True(row.IsByCharge);
    }

    [Fact]
    public void Of_NothingRead_IsNotKnown()
    {
        LoadRow row = LoadDesk.Of(Camera, [], [], [], Now, Zone);

        Assert.All(row.Days, Assert.Null);
        Assert.Equal(LoadDesk.ShownDays, row.Days.Count);
        Assert.Equal("not known", PageText.LoadDayWords(row.Days[0]));
    }

    private static RollUp[] Watts(Instant from, int hours, double watts) =>
        [.. Enumerable.Range(0, hours).Select(i => new RollUp(from + Duration.FromHours(i), RollUpSpan.Hour, 4, watts, watts, watts, watts, Duration.FromHours(1)))];

    private static RollUp Counter(int hoursAgo, double last) =>
        new(Now - Duration.FromHours(hoursAgo), RollUpSpan.Hour, 1, last, last, last, last, Duration.FromHours(1));
}
