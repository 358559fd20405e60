using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>The energy outlook from declared kit and readings, good and bad.</summary>
public sealed class EnergyForecasterTests
{
    [Fact]
    public void Answer_SameQuestion_RepeatsToTheBit()
    {
        EnergyQuestion question = EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, 6));

        Assert.Equal(EnergyForecaster.Answer(question), EnergyForecaster.Answer(question));
    }

    [Fact]
    public void Answer_WholeTrip_CoversEveryDayAndNamesItsGenerator()
    {
        EnergyOutlook outlook = EnergyForecaster.Answer(EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, 6)));

        BankOutlook bank = Assert.Single(outlook.Banks);
        Assert.Equal(10, bank.Days.Count);
        Assert.Equal(new LocalDate(2027, 2, 11), bank.Days[0].Day);
        Assert.Equal(new LocalDate(2027, 2, 20), bank.Days[^1].Day);
        Assert.Contains("xoshiro256++", outlook.Run.Generator, StringComparison.Ordinal);
        Assert.Equal(1UL, outlook.Run.Seed);
        Assert.True(outlook.Run.Step <= Duration.FromHours(1));
        Assert.All(bank.Days, day => Assert.True(day.ShortByThen.Low.Value <= day.ShortByThen.Best.Value && day.ShortByThen.Best.Value <= day.ShortByThen.High.Value));
        Assert.True(bank.Influences.Count >= 3);
        Assert.NotEmpty(bank.Cautions);
    }

    [Fact]
    public void Answer_WithoutThermometer_NeverSaysChargeNow()
    {
        BankOutlook bank = Ask(EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7)));

        Assert.Equal(ChargeReadinessState.NoTemperature, bank.Readiness.State);
        Assert.Equal(0, bank.Readiness.MaxCurrent.Value);
        Assert.NotNull(bank.Readiness.WarmUp);
        Assert.Contains(bank.Assumptions, assumption => assumption.Because.Contains("thermometer", StringComparison.Ordinal));
    }

    [Fact]
    public void Answer_ColdCells_WarmsFirst()
    {
        BankOutlook bank = Ask(EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, -8)));

        Assert.Equal(ChargeReadinessState.WarmFirst, bank.Readiness.State);
        Assert.True(bank.Readiness.WarmUp!.BottleLitres > 0);
    }

    [Fact]
    public void Answer_CoolCells_AllowsLessThanTheFullCurrent()
    {
        BankOutlook bank = Ask(EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, 5)));

        Assert.Equal(ChargeReadinessState.SlowOnly, bank.Readiness.State);

        // LFP between 0 and 10 °C: a tenth of 60 Ah.
        Assert.Equal(6, bank.Readiness.MaxCurrent.Value, 1e-9);
    }

    [Fact]
    public void Answer_StuckThermometer_HasNoTemperature()
    {
        TimedReading[] readings = [.. Enumerable.Range(0, 40).Select(i => EnergyScene.Battery(20 - (i * 0.5), 13.2, -1, 0.7, 5.25))];

        BankOutlook bank = Ask(EnergyScene.Question(readings));

        Assert.Equal(ChargeReadinessState.NoTemperature, bank.Readiness.State);
        Assert.Contains(bank.Assumptions, assumption => assumption.Because.Contains("repeated itself", StringComparison.Ordinal));
    }

    [Fact]
    public void Answer_WattsThatContradict_SaysSo()
    {
        BankOutlook bank = Ask(EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, 6, watts: -400)));

        Assert.Contains(bank.Assumptions, assumption => assumption.Because.Contains("disagree", StringComparison.Ordinal));
    }

    [Fact]
    public void Answer_NothingMeasured_IsWiderThanMeasured()
    {
        BankOutlook measured = Ask(EnergyScene.Question(EnergyScene.Battery(0.2, 13.35, 0, null, 6, rested: true), EnergyScene.Battery(0.1, 13.3, -1, 0.9, 6)));
        BankOutlook blind = Ask(EnergyScene.Question());

        Assert.True(Width(blind) > Width(measured));
        Assert.Equal("the trip file", blind.Charge.From);
    }

    [Fact]
    public void Answer_OldReading_WidensWithItsAge()
    {
        BankOutlook fresh = Ask(EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, 6)));
        BankOutlook old = Ask(EnergyScene.Question(EnergyScene.Battery(60, 13.2, -2, 0.7, 6)));

        Assert.True(Width(old) > Width(fresh));
    }

    [Fact]
    public void Answer_UnknownChemistry_UsesTheStrictestLimitsAndSaysSo()
    {
        BankOutlook bank = Ask(EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, 12))
            .With(item => item is Pack pack ? pack with { Chemistry = Chemistry.Unknown } : item));

        Assert.Contains(bank.Assumptions, assumption => assumption.Because.Contains("chemistry", StringComparison.Ordinal));
        Assert.Equal(12, bank.Readiness.MaxCurrent.Value, 1e-9);
    }

    [Fact]
    public void Answer_BankWithoutPacks_IsLeftOutWithAReason()
    {
        EnergyOutlook outlook = EnergyForecaster.Answer(EnergyScene.Question().With(item => item is Pack ? null : item));

        Assert.Empty(outlook.Banks);
        Assert.Contains(outlook.Assumptions, assumption => assumption.Subject == EnergyScene.BankId);
    }

    [Fact]
    public void Answer_NoTripNoPlace_StillAnswersAndSaysWhatItTook()
    {
        EnergyOutlook outlook = EnergyForecaster.Answer(EnergyScene.Question().With(item => item is Trip or Place ? null : item));

        Assert.NotEmpty(outlook.Assumptions);
        BankOutlook bank = Assert.Single(outlook.Banks);
        Assert.Contains(bank.Assumptions, assumption => assumption.Assumed.Contains("no sun", StringComparison.Ordinal));
        Assert.Equal(8, bank.Days.Count);
    }

    [Fact]
    public void Answer_PlaceOutOfRange_CountsOnNoSun()
    {
        BankOutlook bank = Ask(EnergyScene.Question().With(item => item is Place place ? place with { Latitude = new Degrees(212) } : item));

        Assert.All(bank.Days, day => Assert.True(day.Harvest.P90.Value < 20));
    }

    [Fact]
    public void Answer_PanelNeverSeen_WidensAndSaysSo()
    {
        TimedReading[] readings = [.. Enumerable.Range(0, 80).Select(i => EnergyScene.Battery(80 - i, 13.2, -1, 0.7, 6 + (i % 3)))];

        BankOutlook bank = Ask(EnergyScene.Question(readings));

        Assert.Contains(bank.Assumptions, assumption => assumption.Subject == EnergyScene.PanelId);
    }

    [Fact]
    public void Answer_TravelAndStormDays_KeepThePanelsDown()
    {
        EnergyQuestion question = EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, 6));
        KitId team = KitId.Parse("ridge team");
        CalendarDay travel = new(team, new LocalDate(2027, 2, 13), DayKind.Travel, null, null);
        CalendarDay storm = new(team, new LocalDate(2027, 2, 14), DayKind.Storm, null, null);

        BankOutlook bank = Ask(question with { Kit = question.Kit.Append(travel).Append(storm).ToValueList() });

        Assert.False(bank.Panels[2].CanStand);
        Assert.False(bank.Panels[3].CanStand);
        Assert.True(bank.Days[2].Harvest.P90.Value < 20);
        Assert.True(bank.Days[4].Harvest.P50.Value > 50);
    }

    [Fact]
    public void Answer_ForecastOfClouds_RaisesTheChance()
    {
        EnergyQuestion question = EnergyScene.Question(EnergyScene.Battery(0.5, 13.1, -2, 0.5, 6));
        ValueList<SkyForecast> clouds = Enumerable.Range(0, 6)
            .Select(i => new SkyForecast(EnergyScene.PlaceId, new LocalDate(2027, 2, 12).PlusDays(i), 0.1, new Celsius(-35), new Celsius(-20), 0.9))
            .ToValueList();

        Assert.True(Ask(question with { Forecast = clouds }).ShortByLastDay.Best.Value > Ask(question).ShortByLastDay.Best.Value);
    }

    [Fact]
    public void Answer_ColdPanelAboveTheController_IsACaution()
    {
        BankOutlook bank = Ask(EnergyScene.Question().With(item => item is Bank one ? one with { MaxPanelVolts = new Volts(23) } : item));

        // 21.6 V at 25 °C is 25 V at -31 °C.
        Assert.Contains(bank.Cautions, caution => caution.Contains("open-circuit", StringComparison.Ordinal));
    }

    [Fact]
    public void Answer_LifeSafetyLoads_AreNeverRationed()
    {
        BankOutlook bank = Ask(EnergyScene.Question(EnergyScene.Battery(0.5, 12.9, -2, 0.3, 6)));

        Assert.NotEmpty(bank.Rations);
        Assert.DoesNotContain(bank.Rations, step => step.Class == LoadClass.LifeSafety);
        Assert.Equal(LoadClass.Comfort, bank.Rations[0].Class);
        Assert.True(bank.LifeSafetyReserve.Value >= 0.2 * bank.Capacity.Value - 1e-9);
    }

    private static double Width(BankOutlook bank) => bank.Charge.High.Value - bank.Charge.Low.Value;

    private static BankOutlook Ask(EnergyQuestion question) => Assert.Single(EnergyForecaster.Answer(question).Banks);
}
