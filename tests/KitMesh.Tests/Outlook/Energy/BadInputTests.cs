using CsCheck;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>What is missing, wrong or not believable: the outlook still answers, says what it assumed, and widens against the same question asked well.</summary>
public sealed class BadInputTests
{
    private static readonly KitId Box = KitId.Parse("ridge box");
    private static readonly KitId Team = KitId.Parse("ridge team");

    [Fact]
    public void Answer_ThermometerMissing_AdvisesNoChargeAndWidens()
    {
        BankOutlook good = Ask(Series());
        BankOutlook bad = Ask(Series(celsius: false));

        Said(bad, EnergyScene.BankId, "no thermometer");
        Assert.Equal(ChargeReadinessState.NoTemperature, bad.Readiness.State);
        Assert.Equal(0, bad.Readiness.MaxCurrent.Value);
        Assert.Contains("do not charge", bad.Readiness.Words, StringComparison.Ordinal);
        Assert.NotNull(bad.Readiness.WarmUp);
        Assert.NotEqual(ChargeReadinessState.NoTemperature, good.Readiness.State);
        Assert.True(Spread(bad.Days[0].Heater) > Spread(good.Days[0].Heater), $"{bad.Days[0].Heater} {good.Days[0].Heater}");
    }

    [Fact]
    public void Answer_VoltsTimesAmperesAgainstWatts_WidensTheCharge()
    {
        BankOutlook bad = Ask(Series(watts: -400));

        Said(bad, EnergyScene.BankId, "disagree");
        Assert.True(Width(bad) > Width(Ask(Series(watts: -13))));
    }

    [Fact]
    public void Answer_PanelThatContradictsItself_IsLeftOutOfTheSkyAndWidens()
    {
        BankOutlook bad = Ask([.. Series(), .. Panel(i => new PanelReading(EnergyScene.PanelId, new(18), new(2), new(5 + (i % 3)), null))]);

        Said(bad, EnergyScene.PanelId, "disagree");
        Assert.Contains("0 days of sky", bad.ShortByLastDay.Assuming, StringComparison.Ordinal);
        Assert.True(PanelDoubt(bad) > PanelDoubt(Ask(Series())));
    }

    [Fact]
    public void Answer_ThermometerThatRepeatsItself_HasNoTemperatureAndWidens()
    {
        BankOutlook bad = Ask(Series(probe: _ => 6));

        Said(bad, EnergyScene.BankId, "repeated itself");
        Assert.Equal(ChargeReadinessState.NoTemperature, bad.Readiness.State);
        Assert.True(Spread(bad.Days[0].Heater) > Spread(Ask(Series()).Days[0].Heater));
    }

    [Fact]
    public void Answer_OneOfTwoProbesRepeatsItself_GoesByTheOtherAndSaysSo()
    {
        // The box thermometer hangs at a summer day; the probe in the pack lives and is cold.
        TimedReading[] box = [.. Hours().Select(hours => new TimedReading(EnergyScene.Evening - Duration.FromHours(hours), new TemperatureReading(Box, "box", new(21.5))))];
        BankOutlook bad = Ask([.. Series(probe: i => -3 + (0.25 * (i % 3))), .. box]);

        Said(bad, EnergyScene.BankId, "repeated itself");
        Assert.Equal(ChargeReadinessState.WarmFirst, bad.Readiness.State);
        Assert.True(bad.Readiness.Coldest!.Value.Value < 0);
    }

    [Fact]
    public void Answer_AirThermometerThatRepeatsItself_IsLeftOutOfTheSeason()
    {
        TimedReading[] air = [.. Hours().Select(hours => new TimedReading(EnergyScene.Evening - Duration.FromHours(hours), new TemperatureReading(EnergyScene.PlaceId, "mast", new(25))))];
        BankOutlook good = Ask(Series());
        BankOutlook bad = Ask([.. Series(), .. air]);

        Said(bad, EnergyScene.PlaceId, "the same to the last digit");
        Assert.Equal(good.Days[^1].Heater.P50.Value, bad.Days[^1].Heater.P50.Value, 0.15 * good.Days[^1].Heater.P50.Value);
    }

    [Fact]
    public void Answer_BatterySensorThatHangs_CountsAsSilentSinceThenAndWidens()
    {
        BankOutlook good = Ask(Series());
        BankOutlook bad = Ask(Series(hangs: true));

        Said(bad, EnergyScene.BankId, "repeat itself");
        Assert.True(Width(bad) > 2 * Width(good), $"{Width(bad)} {Width(good)}");
        Assert.True(bad.Charge.MeasuredAt < EnergyScene.Evening - Duration.FromHours(18));
    }

    [Fact]
    public void Answer_RestingBankWithoutLoads_IsNotTakenForAHungSensor()
    {
        EnergyQuestion question = EnergyScene.Question([.. Hours().Select(hours => EnergyScene.Battery(hours, 13.2, 0, 0.7, 6 + (hours % 3)))]).With(item => item is Load ? null : item);

        BankOutlook bank = Assert.Single(EnergyForecaster.Answer(question).Banks);

        Assert.DoesNotContain(bank.Assumptions, assumption => assumption.Assumed.Contains("repeat itself", StringComparison.Ordinal));
    }

    [Fact]
    public void Answer_PanelSensorThatHangs_DoesNotBrightenTheSkyAndWidens()
    {
        BankOutlook bad = Ask([.. Series(), .. Panel(_ => new PanelReading(EnergyScene.PanelId, null, null, new(111), null))]);

        Said(bad, EnergyScene.PanelId, "by day and by night");
        Assert.True(PanelDoubt(bad) > PanelDoubt(Ask(Series())));
    }

    [Fact]
    public void Answer_PanelDeclaredAndNeverSeen_Widens()
    {
        // Three days of readings of everything else; the other time the panel has been seen once.
        TimedReading[] readings = Series(days: 3);
        BankOutlook bad = Ask(readings);
        BankOutlook silent = Ask([.. readings, .. Panel(_ => new PanelReading(EnergyScene.PanelId, new(0), new(0), new(0), null))]);
        BankOutlook good = Ask([.. readings, new(EnergyScene.Evening - Duration.FromHours(30), new PanelReading(EnergyScene.PanelId, null, null, new(60), null))]);

        Said(bad, EnergyScene.PanelId, "never seen");
        Said(silent, EnergyScene.PanelId, "never seen");
        Assert.DoesNotContain(good.Assumptions, assumption => assumption.Subject == EnergyScene.PanelId);
        Assert.True(PanelDoubt(bad) > PanelDoubt(good), $"{PanelDoubt(bad)} {PanelDoubt(good)}");
        Assert.True(bad.ShortByLastDay.High.Value > good.ShortByLastDay.High.Value, $"{bad.ShortByLastDay} {good.ShortByLastDay}");
    }

    [Fact]
    public void Answer_PanelFoldedAway_DoesNotDarkenTheSky()
    {
        TimedReading[] zeros = [.. Series(days: 5), .. Panel(_ => new PanelReading(EnergyScene.PanelId, null, null, new(0), null), days: 5)];

        Assert.Equal(Ask(Series(days: 5)).Days[5].Harvest.P50.Value, Ask(zeros).Days[5].Harvest.P50.Value, 15.0);
    }

    [Theory]
    [InlineData(212, 77, 4350)]
    [InlineData(42, 400, 4350)]
    [InlineData(42, 77, 12_000)]
    public void Answer_PlaceOutsideTheModelsRange_CountsOnNoSunAndWidens(double latitude, double longitude, double metres)
    {
        BankOutlook good = Ask(Series());
        BankOutlook bad = Ask(Series(), item => item is Place place ? place with { Latitude = new(latitude), Longitude = new(longitude), Altitude = new(metres) } : item);

        Said(bad, Team, "out of the models' range");
        Assert.All(bad.Days, day => Assert.True(day.Harvest.P90.Value < 20));
        Assert.True(Range(bad) > Range(good), $"{bad.ShortByLastDay} {good.ShortByLastDay}");
        Assert.Equal(0, bad.ShortByLastDay.Low.Value);
    }

    [Fact]
    public void Answer_LaterPlaceNotDeclared_SaysHowManyDaysAndWidens()
    {
        CalendarDay[] moves = [.. Enumerable.Range(3, 3).Select(i => new CalendarDay(Team, new LocalDate(2027, 2, 11).PlusDays(i), DayKind.Camp, KitId.Parse("nobody knows"), null))];
        EnergyQuestion question = EnergyScene.Question(Series());
        BankOutlook bad = Assert.Single(EnergyForecaster.Answer(question with { Kit = question.Kit.Concat(moves).ToValueList() }).Banks);

        Said(bad, Team, "not declared");
        Assert.Contains(bad.Assumptions, assumption => assumption.Assumed.Contains("3 days", StringComparison.Ordinal));
        Assert.True(bad.ShortByLastDay.High.Value - bad.ShortByLastDay.Low.Value >= Range(Ask(Series())));
    }

    [Fact]
    public void Answer_PackOfUnknownChemistry_TakesTheStrictestLimitsAndWidens()
    {
        // Rested volts of 14.9 are 3.72 V a cell: on the NMC table about half; on an unknown one anything.
        TimedReading rested = EnergyScene.Battery(0.5, 14.9, 0, null, 12, rested: true);
        BankOutlook good = Ask([rested], item => item is Pack pack ? pack with { Chemistry = Chemistry.Nmc } : item);
        BankOutlook bad = Ask([rested], item => item is Pack pack ? pack with { Chemistry = Chemistry.Unknown } : item);

        Said(bad, EnergyScene.BankId, "chemistry");
        Assert.True(Width(bad) > 1.5 * Width(good), $"{Width(bad)} {Width(good)}");
        Assert.True(bad.Readiness.MaxCurrent.Value <= good.Readiness.MaxCurrent.Value);
    }

    [Fact]
    public void Answer_AnyReadings_StillAnswersWithChancesAndNeverChargesWithoutAProbe() =>
        Gen.Select(
            Odd(double.NaN, double.PositiveInfinity, double.NegativeInfinity, 0, -1, 13.2),
            Odd(double.NaN, double.NegativeInfinity, 1e300, 0, -1),
            Odd(double.NaN, -3, 0.5, 40),
            Gen.Double[-100, 100])
            .Array[0, 12]
            .Sample(
                rows =>
                {
                    EnergyQuestion question = EnergyScene.Question(
                    [
                        .. rows.Select((row, i) => EnergyScene.Battery(i * 3, row.Item1, row.Item2, row.Item3, row.Item4 > 0 ? row.Item2 : null, watts: row.Item4)),
                        .. rows.Select((row, i) => new TimedReading(EnergyScene.Evening - Duration.FromHours(i), new PanelReading(EnergyScene.PanelId, new(row.Item1), new(row.Item2), new(row.Item4), null, row.Item3))),
                        .. rows.Select((row, i) => new TimedReading(EnergyScene.Evening - Duration.FromHours(i), new TemperatureReading(EnergyScene.PlaceId, "air", new(row.Item1)))),
                    ]) with { Paths = 40 };
                    BankOutlook bank = Assert.Single(EnergyForecaster.Answer(question).Banks);
                    Assert.All(bank.Days, day => Assert.InRange(day.ShortByThen.Best.Value, 0, 1));
                    Assert.All(bank.Days, day => Assert.InRange(day.AtEnd.P50.Value, 0, 1));
                    Assert.True(bank.Readiness.Coldest is not null || bank.Readiness.MaxCurrent.Value == 0);
                },
                iter: 40,
                threads: 1);

    private static Gen<double> Odd(params double[] values) => Gen.OneOf([Gen.Double, .. values.Select(Gen.Const)]);

    private static void Said(BankOutlook bank, KitId subject, string words) =>
        Assert.Contains(
            bank.Assumptions,
            one => one.Subject == subject && one.Widens && one.Assumed.Length > 0
                && (one.Because.Contains(words, StringComparison.Ordinal) || one.Assumed.Contains(words, StringComparison.Ordinal)));

    private static double[] Hours(int days = 1) => [.. Enumerable.Range(0, days * 30).Select(i => (days * 30) - 0.5 - i)];

    // Thirty hours or more of ordinary readings of the bank, with one thing made odd.
    private static TimedReading[] Series(int days = 1, bool celsius = true, double? watts = null, Func<int, double>? probe = null, bool hangs = false)
    {
        double[] hours = Hours(days);
        return
        [
            .. hours.Select((ago, i) =>
            {
                int step = hangs && ago < 26 ? 0 : i;
                return EnergyScene.Battery(ago, 13.2 + (0.01 * (step % 4)), -1 - (0.1 * (step % 5)), 0.7, celsius ? probe?.Invoke(i) ?? (6 + (0.25 * (i % 3))) : null, watts: watts);
            }),
        ];
    }

    private static IEnumerable<TimedReading> Panel(Func<int, PanelReading> at, int days = 1) =>
        Hours(days).Select((ago, i) => new TimedReading(EnergyScene.Evening - Duration.FromHours(ago), at(i)));

    private static double Width(BankOutlook bank) => bank.Charge.High.Value - bank.Charge.Low.Value;

    private static double Range(BankOutlook bank) => bank.ShortByLastDay.High.Value - bank.ShortByLastDay.Low.Value;

    private static double Spread(EnergySpread spread) => spread.P90.Value - spread.P10.Value;

    // "panels give 22 % less": the doubt that the outlook itself tells.
    private static double PanelDoubt(BankOutlook bank)
    {
        string change = Assert.Single(bank.Influences, influence => influence.Input == "panels").Change;
        return double.Parse(string.Concat(change.Where(char.IsDigit)), System.Globalization.CultureInfo.InvariantCulture);
    }

    private static BankOutlook Ask(TimedReading[] readings, Func<KitItem, KitItem?>? change = null) =>
        Assert.Single(EnergyForecaster.Answer(EnergyScene.Question(readings).With(change ?? (item => item))).Banks);
}
