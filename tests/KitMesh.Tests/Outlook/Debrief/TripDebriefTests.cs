using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Debrief;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Outlook.Debrief;

/// <summary>Energy of days worked out by hand (trapezoidal rule, areas of triangles and rectangles: any geometry book).</summary>
public sealed class TripDebriefTests
{
    private static readonly LocalDate Day = new(2027, 2, 9);
    private static readonly KitId Camera = KitId.Parse("ridge camera");

    [Fact]
    public void Day_TriangleOfSun_IsHalfBaseTimesHeight()
    {
        // 08:00 to 16:00, up to 100 W at noon and down again: 8 h × 100 W / 2 = 400 Wh.
        BankDay day = Only(Panel(8, 0), Panel(9, 25), Panel(10, 50), Panel(11, 75), Panel(12, 100), Panel(13, 75), Panel(14, 50), Panel(15, 25), Panel(16, 0));

        Assert.Equal(400, day.Panels!.Value.Value, 1e-9);
        Assert.Equal(8, day.CoveredHours, 1e-9);
    }

    [Fact]
    public void Day_PanelWithCounter_GoesByTheCounterAndCountsFromZeroAfterAReset()
    {
        BankDay day = Only(Counter(8, 1000), Counter(12, 1150), Counter(13, 20), Counter(16, 90));

        Assert.Equal(150 + 20 + 70, day.Panels!.Value.Value, 1e-9);
    }

    [Fact]
    public void Day_CurrentThatTurns_IsChargeAndDischargeApart()
    {
        // +40 W to -40 W in two hours: two triangles of 1 h × 40 W / 2 = 20 Wh each.
        BankDay day = Only(Battery(10, watts: 40), Battery(12, watts: -40));

        Assert.Equal(20, day.IntoPacks!.Value.Value, 1e-9);
        Assert.Equal(20, day.OutOfPacks!.Value.Value, 1e-9);
    }

    [Fact]
    public void Day_SilenceOfThreeHours_IsNotBridged()
    {
        BankDay day = Only(Battery(8, watts: 30), Battery(9, watts: 30), Battery(12, watts: 30), Battery(13, watts: 30));

        Assert.Equal(60, day.IntoPacks!.Value.Value, 1e-9);
    }

    [Fact]
    public void Day_OverMidnight_IsSharedOutByTime()
    {
        TripDebrief debrief = Answer(Battery(23, watts: -30), Battery(25, watts: -30));

        Assert.Equal([30.0, 30.0], debrief.Banks.Single().Days.Select(day => day.OutOfPacks!.Value.Value));
    }

    [Fact]
    public void Cold_ProbeAndCurrentOfTwoReaders_AreAddedUpUnderTheLimit()
    {
        // 5 A for two hours at -3 °C (limit of lithium iron phosphate: 0 °C), told by another reader half an hour before: 10 Ah. Then a warm hour, half counted on the way.
        ColdCharge cold = Answer(
            Probe(9.5, -3), Amperes(10, 5), Probe(10.5, -3), Amperes(11, 5), Probe(11.5, -3), Amperes(12, 5), Probe(12.5, 8), Amperes(13, 5), Amperes(13.4, 5)).Cold.Single();

        Assert.Equal(10 + 2.5, cold.Charge.Value, 1e-9);
        Assert.Equal(2.5, cold.Hours, 1e-9);
        Assert.Equal(-3, cold.Coldest!.Value.Value);
        Assert.Equal(0, cold.UnwatchedHours);
    }

    [Fact]
    public void Cold_NoProbe_IsUnwatchedAndNotCalledCold()
    {
        ColdCharge cold = Answer(Amperes(10, 5), Amperes(12, 5)).Cold.Single();

        Assert.Equal((0.0, 2.0), (cold.Charge.Value, cold.UnwatchedHours));
    }

    [Fact]
    public void Box_HeatLost_IsUaTimesDifferenceTimesTime()
    {
        // Declared 0.12 W/K; cells at 6 °C in air of -14 °C for 4 hours: 0.12 × 20 × 4 = 9.6 Wh. Charging 20 W meanwhile was possible only for the warmth: 80 Wh.
        BankDay day = Only([.. Enumerable.Range(8, 5).SelectMany(hour => new[] { Air(hour, -14), Battery(hour, watts: 20, celsius: 6) })]);

        Assert.Equal(9.6, day.BoxLoss!.Value.Value, 1e-9);
        Assert.Equal(80, day.WarmGain!.Value.Value, 1e-9);
    }

    [Fact]
    public void Load_Counter_GivesItsDayAndItsRefusals()
    {
        var readings = new List<TimedReading>();
        for (int hour = -24; hour <= 48; hour++)
        {
            ChargeActivity activity = hour is 5 or 6 or 9 ? ChargeActivity.PluggedNotCharging : ChargeActivity.Charging;
            readings.Add(At(hour, new LoadReading(Camera, activity, null, null, new WattHours(1000 + (3 * hour)), null)));
        }

        LoadDebrief camera = Answer([.. readings]).Loads.Single(load => load.Load == Camera);

        Assert.Equal(72, camera.PerDay!.Value.Value, 1e-9);
        Assert.Equal((2, 3.0), (camera.RefusedTimes, camera.RefusedHours));
        Assert.Equal(70, camera.Declared.Value);
    }

    private static BankDay Only(params TimedReading[] readings) => Answer(readings).Banks.Single().Days.Single();

    private static TripDebrief Answer(params TimedReading[] readings) =>
        TripDebriefs.Answer(new DebriefQuestion(EnergyScene.Kit.ToValueList(), readings.ToValueList(), new LocalDate(2027, 2, 8), new LocalDate(2027, 2, 12), ForecastPaths: 0));

    private static TimedReading At(double hour, ReportBody body) =>
        new(Day.AtMidnight().WithOffset(Offset.FromHours(6)).ToInstant() + Duration.FromHours(hour), body);

    private static TimedReading Panel(double hour, double watts) => At(hour, new PanelReading(EnergyScene.PanelId, null, null, new Watts(watts), null));

    private static TimedReading Counter(double hour, double wattHours) => At(hour, new PanelReading(EnergyScene.PanelId, null, null, null, new WattHours(wattHours)));

    private static TimedReading Air(double hour, double celsius) => At(hour, new TemperatureReading(EnergyScene.PlaceId, "air", new Celsius(celsius)));

    private static TimedReading Probe(double hour, double celsius) => At(hour, new BatteryReading(EnergyScene.BankId, null, null, null, null, [new Celsius(celsius)]));

    private static TimedReading Amperes(double hour, double amperes) => At(hour, new BatteryReading(EnergyScene.BankId, new Volts(13), new Amperes(amperes), null, null, []));

    private static TimedReading Battery(double hour, double watts, double? celsius = null) =>
        At(hour, new BatteryReading(EnergyScene.BankId, null, null, new Watts(watts), null, celsius is { } cell ? [new Celsius(cell)] : []));
}
