using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Sun;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>When the heater goes on, what that costs, and whether the sun of the day pays for it.</summary>
public sealed class ReadinessAdvisorTests
{
    // The case of Published/thermal-checks.csv that an ODE solver confirmed: 12,000 J/K, 0.25 W/K, 40 W, -40 °C outside, from -25 to 5 °C.
    private const double WarmUpSeconds = 11_126.4774748;
    private const double WarmUpWattHours = 123.627527497;

    [Fact]
    public void PreHeat_PublishedWarmUp_EndsAsTheSunComes()
    {
        WarmUpPlan plan = Ask(panelWatts: 120).Readiness.WarmUp!;

        // Sunrise of 12 February at the place, from the routine that is checked against an independent ephemeris.
        Instant sunrise = SunEvents.Around(new LocalDate(2027, 2, 12), new(41.95), new(77.7)).Sunrise!.Value;
        Assert.True(plan.Reachable);
        Assert.Equal(5, plan.To.Value, 1e-9);
        Assert.Equal(WarmUpSeconds, (plan.WarmAt!.Value - plan.SwitchOn!.Value).TotalSeconds, 0.01);
        Assert.Equal(0, (plan.WarmAt.Value - sunrise).TotalMinutes, 1.0);
        Assert.Equal(WarmUpWattHours, plan.Energy!.Value.Value, 1e-6);
    }

    [Fact]
    public void PreHeat_SunTooNear_StartsNow()
    {
        // An hour before sunrise: three hours of heat do not fit, so that it starts at once and is warm later.
        Instant sunrise = SunEvents.Around(new LocalDate(2027, 2, 12), new(41.95), new(77.7)).Sunrise!.Value;
        WarmUpPlan plan = Ask(120, sunrise - Duration.FromHours(1)).Readiness.WarmUp!;

        Assert.Equal(sunrise - Duration.FromHours(1), plan.SwitchOn);
        Assert.Equal(WarmUpSeconds, (plan.WarmAt!.Value - plan.SwitchOn!.Value).TotalSeconds, 0.01);
    }

    [Theory]
    [InlineData(200, true)]
    [InlineData(15, false)]
    public void SunOfTheDay_AgainstTheHeat_PaysOrNot(double panelWatts, bool pays)
    {
        BankOutlook bank = Ask(panelWatts);
        WarmUpPlan plan = bank.Readiness.WarmUp!;
        PanelDay tomorrow = bank.Panels[1];

        // By hand: 15 W × 0.75 over some ten hours of day can never bring 124 Wh; 200 W × 0.75 in about five hours of full sun bring some 700 Wh.
        Assert.Equal(pays, plan.Pays);
        Assert.Equal(pays, tomorrow.Gross.P50.Value > Math.Max(WarmUpWattHours, tomorrow.HeaterCost.P50.Value));
        Assert.Contains(pays ? "so it pays" : "does not pay", plan.Words, StringComparison.Ordinal);
        Assert.Equal(pays, tomorrow.Pays);
    }

    [Fact]
    public void PreHeat_HeaterTooWeak_SaysThatItNeverGetsThere()
    {
        // 10 W over 0.25 W/K ends at 0 °C.
        WarmUpPlan plan = Ask(120, heaterWatts: 10).Readiness.WarmUp!;

        Assert.False(plan.Reachable);
        Assert.Null(plan.SwitchOn);
        Assert.Contains("ends at 0 °C", plan.Words, StringComparison.Ordinal);
        Assert.True(plan.BottleLitres > 0);
    }

    private static BankOutlook Ask(double panelWatts, Instant? now = null, double heaterWatts = 40)
    {
        Instant at = now ?? EnergyScene.Evening;
        TimedReading reading = EnergyScene.Battery(0, 14.9, 0, null, -25, rested: true) with { Time = at - Duration.FromMinutes(5) };
        EnergyQuestion question = EnergyScene.Question(reading).With(item => item switch
        {
            Box box => box with { Capacity = new(12_000), Loss = new(0.25), Heater = new(heaterWatts) },
            Pack pack => pack with { Chemistry = Chemistry.Nmc, MinChargeTemperature = new Celsius(3) },
            Place place => place with { NightTemperature = new(-40), DayTemperature = new(-15) },
            Panel panel => panel with { Rated = new(panelWatts) },
            _ => item,
        });
        return Assert.Single(EnergyForecaster.Answer(question with { Now = at }).Banks);
    }
}
