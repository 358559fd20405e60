using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using KitMesh.TripFile;
using NodaTime;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>A forecast and panel habits that somebody typed in, from declared kit to the answer.</summary>
public sealed class TypedWeatherTests
{
    private static readonly EnergyQuestion Plain = EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, 6));

    [Fact]
    public void Answer_DarkWeekTyped_HarvestsLessThanABrightOne()
    {
        double dark = Harvest(With(Week(0.1, said: false)));
        double bright = Harvest(With(Week(0.95, said: false)));

        Assert.True(dark < 0.6 * bright, $"{dark} Wh against {bright} Wh");
        Assert.InRange(Harvest(Plain), dark, bright);
    }

    [Fact]
    public void Answer_SaidOnTheWay_GoesBeforeTheTripFile() =>
        Assert.Equal(Harvest(With(Week(0.1, said: true))), Harvest(With([.. Week(0.1, said: true), .. Week(0.95, said: false)])));

    [Fact]
    public void Answer_TypedForecast_SaysThatItRestsOnIt()
    {
        EnergyOutlook answer = EnergyForecaster.Answer(With(Week(0.5, said: true)));

        Assert.Contains(answer.Assumptions, assumption => assumption.Assumed == "a typed forecast for 5 days");
    }

    [Fact]
    public void Answer_ForecastForAPlaceThatIsNotDeclared_SaysSoAndLeavesItOut()
    {
        EnergyQuestion question = With([new WeatherLine(KitId.Parse("no camp"), new LocalDate(2027, 2, 12), 0.1, null, null, 0.6, Said: true)]);

        Assert.Contains(EnergyForecaster.Answer(question).Assumptions, assumption => assumption.Because.Contains("no such place", StringComparison.Ordinal));
        Assert.Equal(Harvest(Plain), Harvest(question));
    }

    [Theory]
    [InlineData(double.NaN, 0.6)]
    [InlineData(7, 0.6)]
    [InlineData(0.3, double.NaN)]
    [InlineData(0.3, -1)]
    public void Answer_ImpossibleLine_IsLeftOut(double sky, double trust) =>
        Assert.Equal(Harvest(Plain), Harvest(With([Line(12, sky) with { Trust = trust }])));

    [Fact]
    public void Answer_GustLimitAndSnow_TakeHarvest()
    {
        var calm = new PanelHabit(KitId.Parse("panel habits"), Duration.FromMinutes(15), 0, null, new MetresPerSecond(8), 0);

        double free = Harvest(With([calm]));
        Assert.True(Harvest(With([calm with { GustLimit = new MetresPerSecond(7) }])) < 0.8 * free);

        // A bank that snow left emptier takes more of the next sun: what is taken in all falls little.
        double snowy = Harvest(With([calm with { SnowLoss = 1 }]));
        Assert.True(snowy <= 1.01 * free, $"{snowy} Wh against {free} Wh");
        Assert.Equal(free, Harvest(With([calm with { GustLimit = new MetresPerSecond(double.NaN), ChancePerHour = 0 }])), 1e-9);
    }

    [Fact]
    public void Between_SaidForecast_IsNotWithdrawnByATripFile()
    {
        WeatherLine said = Line(12, 0.3);
        WeatherLine written = Line(12, 0.3, said: false);

        Assert.Equal([new KitDeclared(written, Withdrawn: true)], TripDeclarations.Between([said, written], []));
    }

    private static double Harvest(EnergyQuestion question) =>
        EnergyForecaster.Answer(question).Banks.Single().Days.Skip(1).Take(5).Sum(day => day.Harvest.P50.Value);

    private static EnergyQuestion With(IEnumerable<KitItem> items) => Plain with { Kit = Plain.Kit.Concat(items).ToValueList() };

    private static KitItem[] Week(double sky, bool said) => [.. Enumerable.Range(12, 5).Select(day => Line(day, sky, said) with { Trust = 0.9 })];

    private static WeatherLine Line(int day, double sky, bool said = true) =>
        new(EnergyScene.PlaceId, new LocalDate(2027, 2, day), sky, null, null, 0.6, said);
}
