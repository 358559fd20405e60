using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>When panels go out and heaters run, and what keeps them from it.</summary>
public sealed class PolicyAdvisorTests
{
    private const int Paths = 400;

    [Fact]
    public void Panels_SmallLoads_GoOutSeldomAndCostLessTime()
    {
        PathCase easy = OutlookWorkload.StandardBank(20, 24) with { LoadScale = 0.15, HeaterWatts = 0, AirShiftK = 35, StartFraction = 0.9 };

        PanelPolicy policy = PolicyAdvisor.Panels(easy, Run, EnergySettings.Default)!;

        Assert.True(policy.Below is { Value: < 1 }, policy.Words);
        Assert.True(policy.DaysOut < 15, policy.Words);
        Assert.True(policy.Short.Value <= policy.ShortEveryDay.Value + 0.01, policy.Words);
    }

    [Fact]
    public void Panels_DearTime_NeverGoOutMoreOften()
    {
        PathCase bank = OutlookWorkload.StandardBank(20, 24);
        double before = double.MaxValue;
        foreach (double worth in new[] { 0.0005, 0.005, 0.05 })
        {
            double days = PolicyAdvisor.Panels(bank, Run, EnergySettings.Default with { ChancePerHour = worth })!.DaysOut;
            Assert.True(days <= before);
            before = days;
        }
    }

    [Fact]
    public void Panels_Chosen_IsTheBestOfAllLevels()
    {
        PathCase bank = OutlookWorkload.StandardBank(15, 24);
        EnergySettings settings = EnergySettings.Default;
        PanelPolicy policy = PolicyAdvisor.Panels(bank, Run, settings)!;

        double Cost(double chance, double days) => chance + (days * settings.DeployTime.TotalHours * settings.ChancePerHour);
        Assert.All(PolicyAdvisor.Levels, level =>
        {
            PathDays days = Run(bank with { PanelsBelow = level });
            Assert.True(Cost(policy.Short.Value, policy.DaysOut) <= Cost(days.ShortByEnd, days.MeanDaysOut) + 1e-12);
        });
    }

    [Fact]
    public void Run_GustsAboveTheLimit_LeaveNoHarvestAndNoHeatForTheSun()
    {
        PathCase bank = OutlookWorkload.StandardBank(6, 24) with { GustLimit = 0, HeatsWithPanelsOnly = true };

        PathTrace trace = PathEngine.Run(bank, 3, 64, keepPaths: true).Trace!;

        Assert.All(trace.PanelWh, wattHours => Assert.Equal(0, wattHours));
        Assert.All(trace.HeaterWh, wattHours => Assert.Equal(0, wattHours));
    }

    [Fact]
    public void Run_SnowOnThePanel_NeverRaisesWhatItGives()
    {
        PathCase bank = OutlookWorkload.StandardBank(10, 24);

        double[] clean = PathEngine.Run(bank with { SnowLoss = 0 }, 3, 64, keepPaths: true).Trace!.PanelWh;
        double[] snowed = PathEngine.Run(bank with { SnowLoss = 0.8 }, 3, 64, keepPaths: true).Trace!.PanelWh;

        Assert.All(clean.Zip(snowed), pair => Assert.True(pair.Second <= pair.First + 1e-9));
        Assert.True(snowed.Sum() < clean.Sum());
    }

    [Fact]
    public void Run_TaperNearFull_ChargesSlowerAndNeverPastFull()
    {
        PathCase bank = OutlookWorkload.StandardBank(6, 96) with { StartFraction = 0.97, StartFractionSd = 0, LoadScale = 0.1, HeaterWatts = 0, AirShiftK = 20 };

        double[] free = PathEngine.Run(bank with { TaperPerHour = double.MaxValue }, 3, 64, keepPaths: true).Trace!.EndFraction;
        double[] taper = PathEngine.Run(bank with { TaperPerHour = 1 }, 3, 64, keepPaths: true).Trace!.EndFraction;

        Assert.True(taper[..64].Average() < free[..64].Average());
        Assert.All(taper, end => Assert.True(end <= 1 + 1e-9));
    }

    [Fact]
    public void Run_EmptyColdBankWithoutHeater_StaysDeadInFullSun()
    {
        PathCase dead = OutlookWorkload.StandardBank(5, 24) with
        {
            StartFraction = 0, StartFractionSd = 0, StartCellC = -20, StartCellSd = 0, AirShiftK = -5, AirDoubtK = 0, AirDaySd = 0, AirStartSd = 0, PanelScale = 2,
        };

        Assert.All(PathEngine.Run(dead with { HeaterWatts = 0 }, 3, 64, keepPaths: true).Trace!.ChargedWh, charged => Assert.Equal(0, charged));

        // With one the panels warm the cells first, and then the bank comes back.
        PathTrace revived = PathEngine.Run(dead, 3, 64, keepPaths: true).Trace!;
        Assert.True(revived.ChargedWh.Sum() > 0);
        Assert.True(revived.HeaterWh[..64].Sum() > 0);
        Assert.All(revived.WorstZoneExcessWatts, excess => Assert.True(excess <= 1e-9));
    }

    [Fact]
    public void Answer_AnyBank_TellsPolicyHeaterAndKeepsTheLifeReserve()
    {
        BankOutlook bank = Assert.Single(EnergyForecaster.Answer(EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, 6))).Banks);

        Assert.NotNull(bank.PanelPolicy);
        Assert.NotNull(bank.Heater);
        Assert.True(bank.PanelPolicy.ShortEveryDay.Value <= bank.PanelPolicy.ShortNever.Value);

        // Ten days of a messenger of 5 Wh; the reserve of a fifth is more.
        Assert.Equal(0.2 * bank.Capacity.Value, bank.LifeSafetyReserve.Value, 1e-6);
        Assert.True(bank.SpendableNow.Value <= (bank.Charge.Best.Value * bank.Capacity.Value) - bank.LifeSafetyReserve.Value);
    }

    [Fact]
    public void Answer_HungryLifeSafety_IsKeptToTheLastDayAndNeverSpent()
    {
        EnergyQuestion question = EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.7, 6))
            .With(item => item is Load { Class: LoadClass.LifeSafety } load ? load with { PerDay = new WattHours(25) } : item);

        BankOutlook bank = Assert.Single(EnergyForecaster.Answer(question).Banks);

        Assert.Equal(250, bank.LifeSafetyReserve.Value, 1e-6);
        Assert.True(bank.SpendableNow.Value <= (bank.Charge.Best.Value * bank.Capacity.Value) - 250);
    }

    [Fact]
    public void Answer_DroneAndPhone_CountInFlightsAndShares()
    {
        KitId team = KitId.Parse("ridge team");
        EnergyQuestion question = EnergyScene.Question(EnergyScene.Battery(0.5, 13.2, -2, 0.9, 6));
        question = question with
        {
            Kit = question.Kit
                .Append(new Person(KitId.Parse("person one"), team)).Append(new Person(KitId.Parse("person two"), team))
                .Append(new Load(KitId.Parse("ridge phone"), team, EnergyScene.BankId, LoadClass.Work, 1, new(8), 0.3, new WattHours(16), new Watts(10), Chemistry.Lco))
                .ToValueList(),
        };

        BankOutlook bank = Assert.Single(EnergyForecaster.Answer(question).Banks);

        WorkMeasure phone = bank.Measures.Single(measure => measure.Load == KitId.Parse("ridge phone"));
        Assert.Equal(WorkUnit.PhoneShare, phone.Unit);
        Assert.InRange(phone.Amount, 0, 0.25 + 1e-9);
        WorkMeasure drone = bank.Measures.Single(measure => measure.Load == KitId.Parse("ridge drone"));
        Assert.Equal(WorkUnit.Flights, drone.Unit);
        Assert.Contains("flights", drone.Words, StringComparison.Ordinal);
    }

    private static PathDays Run(PathCase bank) => PathEngine.Run(bank, 5, Paths);
}
