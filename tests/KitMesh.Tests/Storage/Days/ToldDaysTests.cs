using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Storage.Days;
using KitMesh.Storage.RollUps;
using KitMesh.TestKit.Storage;
using NodaTime;

namespace KitMesh.Tests.Storage.Days;

/// <summary>Days that hubs told: which word counts, and that a word and readings are never counted both.</summary>
public sealed class ToldDaysTests
{
    private static readonly SeriesKey Series = new(KitId.Parse("box 1"), SeriesQuantity.Temperature, "probe");
    private static readonly CrewDay Day = CrewDay.Of(new LocalDate(2027, 2, 14), Offset.Zero);

    [Fact]
    public void Of_SeveralWords_TheOneWithMostReadingsThenTheNewest_InAnyOrder()
    {
        IncomingReport[] told =
        [
            Told("ridge-hub", 1, 100, -8),
            Told("ridge-hub", 2, 140, -9),
            Told("hide-hub", 1, 139, -1),
            Told("camp-hub", 1, 140, -9, Duration.FromHours(3)),
            Told("camp-hub", 2, 140, -9, Duration.FromHours(5)),
        ];
        var random = new Random(1);
        for (int i = 0; i < 30; i++)
        {
            random.Shuffle(told);

            DayFigure best = Assert.Single(ToldDays.Of(Fold(told), Offset.Zero).DaysOf(Series));

            Assert.Equal(("camp-hub", 140, -9.0), (best.By!.Value.Value, best.Samples, best.Mean));
            Assert.Equal(Day.Until + Duration.FromHours(5), best.Told);
        }
    }

    [Fact]
    public void Of_ALaterWordOfOneOriginWithFewerReadings_ReplacesItsEarlierOne()
    {
        DayFigure best = Assert.Single(ToldDays.Of(Fold([Told("ridge-hub", 2, 90, -7, Duration.FromDays(-300)), Told("ridge-hub", 1, 100, -8)]), Offset.Zero).DaysOf(Series));

        Assert.Equal((90L, -7.0), (best.Samples, best.Mean));
    }

    [Fact]
    public void Of_OtherHoursThanTheCrewsDay_IsLeftOut_SoThatDaysNeverOverlap()
    {
        TripState state = Fold([Told("ridge-hub", 1, 100, -8)]);

        Assert.Empty(ToldDays.Of(state, Offset.FromHours(5)).Series);
        Assert.Single(ToldDays.Of(state, Offset.Zero).Series);
    }

    public static TheoryData<DayLine> Impossible =>
    [
        Line(100, -8) with { Quantity = (SeriesQuantity)99 },
        Line(0, -8),
        Line(-4, -8),
        Line(100, -300),
        Line(100, -8) with { Known = Duration.FromHours(25) },
        Line(100, -8) with { Known = Duration.FromHours(-1) },
        Line(100, -8) with { Least = 5_000_000, Greatest = 4_000_000 },
        Line(100, -8) with { Last = long.MaxValue },
    ];

    [Theory]
    [MemberData(nameof(Impossible))]
    public void Of_AnImpossibleLine_IsLeftOut_AndItsNeighbourStays(DayLine line)
    {
        var body = new DayRolledUp(Series.Item, Day.From, Day.Until, ValueList.Create<DayLine>([line, Line(100, -8) with { Sensor = "other" }]));

        Assert.Equal("other", Assert.Single(ToldDays.Of(Fold([new ReportMaker("ridge-hub").Make(1, Day.Until, body)]), Offset.Zero).Series).Sensor);
    }

    [Fact]
    public void StandInsFor_FewerReadingsHere_Stands_AsManyOrMore_GivesWay()
    {
        var told = ToldDays.Of(Fold([Told("ridge-hub", 1, 100, -8)]), Offset.Zero);

        Assert.Single(told.StandInsFor(Series, []));
        Assert.Single(told.StandInsFor(Series, [Hour(3, 60), Hour(4, 39), Hour(30, 500)]));
        Assert.Empty(told.StandInsFor(Series, [Hour(3, 60), Hour(4, 40)]));
        Assert.Empty(told.StandInsFor(Series, [Hour(3, 160)]));
    }

    private static RollUp Hour(int hour, int samples) => new(Day.From + Duration.FromHours(hour), RollUpSpan.Hour, samples, -9, -8, -7, -8, Duration.FromHours(1));

    private static DayLine Line(long samples, double mean) =>
        new(SeriesQuantity.Temperature, "probe", samples, (long)((mean - 1) * 1e6), (long)(mean * 1e6), (long)((mean + 1) * 1e6), (long)(mean * 1e6), Duration.FromHours(20));

    private static IncomingReport Told(string hub, ulong sequence, long samples, double mean, Duration? after = null) =>
        new ReportMaker(hub).Make(sequence, Day.Until + (after ?? Duration.FromHours(1)), new DayRolledUp(Series.Item, Day.From, Day.Until, ValueList.Create<DayLine>([Line(samples, mean)])));

    internal static TripState Fold(IEnumerable<IncomingReport> reports) =>
        TripState.Fold(reports.Select(report => new ContentReport(report.Timed.Report, Sha256Hash.Of(report.Raw.Bytes.Span))));
}
