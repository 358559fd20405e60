using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Charging;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Outlook.Charging;

/// <summary>Tonight's plan from declared kit and readings.</summary>
public sealed class ChargingPlannerTests
{
    private static readonly Instant Morning = EnergyScene.Evening + Duration.FromHours(10);
    private static readonly KitId Camera = KitId.Parse("ridge camera");
    private static readonly KitId Messenger = KitId.Parse("ridge messenger");
    private static readonly Outlet Usb = new(KitId.Parse("ridge usb"), EnergyScene.BankId, new(60), 0.9);

    [Fact]
    public void Plan_WarmDevices_ChargesThemByOutletAndHour()
    {
        ChargingPlan plan = Plan(budget: 400, Reading(Camera, 0.2, 12), Reading(Messenger, 0.5, 15));

        ChargingStep camera = Assert.Single(plan.Steps, step => step.Load == Camera);
        Assert.Equal(ChargingStepKind.Charge, camera.Kind);
        Assert.Equal(Usb.Id, camera.Outlet);
        Assert.Equal(80, camera.IntoBattery.Value, 0.5);
        Assert.True(camera.Until <= Morning);
        Assert.Contains("ridge camera", camera.Words, StringComparison.Ordinal);
        Assert.NotEmpty(plan.Cautions);
    }

    [Fact]
    public void Plan_TwoIdleOutlets_TakesTheOneThatCostsTheBankLess()
    {
        var inverter = new Outlet(KitId.Parse("an inverter"), EnergyScene.BankId, new(300), 0.8);
        ChargingQuestion question = Question(Morning, 400, Reading(Camera, 0.2, 12), Reading(Messenger, 0.5, 15));
        question = question with { Energy = question.Energy with { Kit = [inverter, .. question.Energy.Kit] } };

        ChargingPlan plan = ChargingPlanner.Plan(question);

        Assert.Equal(Usb.Id, Assert.Single(plan.Steps, step => step.Load == Messenger && step.Kind == ChargingStepKind.Charge).Outlet);
    }

    [Fact]
    public void Plan_LithiumBattery_CountsTheTaperToFull()
    {
        ChargingStep camera = Assert.Single(Plan(budget: 400, Reading(Camera, 0.2, 12)).Steps, step => step.Load == Camera);

        // 80 Wh into the battery at the charger's power, 90 % of which arrives, would take less without the constant-voltage phase.
        double straight = 80 / (camera.Power.Value * 0.9);
        Assert.InRange((camera.Until - camera.From).TotalHours, straight * 1.02, straight * 1.6);
    }

    [Fact]
    public void Plan_OneOutlet_NeverHoldsTwoDevicesAtOnce()
    {
        ChargingPlan plan = Plan(budget: 1_000);

        ChargingStep[] onUsb = [.. plan.Steps.Where(step => step.Outlet == Usb.Id).OrderBy(step => step.From)];
        Assert.True(onUsb.Length > 1);
        Assert.All(onUsb.Zip(onUsb.Skip(1)), pair => Assert.True(pair.First.Until <= pair.Second.From));
    }

    [Fact]
    public void Plan_ColdDevice_IsWarmedFirst()
    {
        ChargingPlan plan = Plan(budget: 400, Reading(Camera, 0.2, -8));

        ChargingStep warm = Assert.Single(plan.Steps, step => step.Load == Camera && step.Kind == ChargingStepKind.Warm);
        ChargingStep charge = Assert.Single(plan.Steps, step => step.Load == Camera && step.Kind == ChargingStepKind.Charge);
        Assert.True(charge.From >= warm.Until);
        Assert.Contains("-8 °C", warm.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Plan_ColdDeviceWithoutTime_IsLeftOutWithItsReason()
    {
        ChargingPlan plan = ChargingPlanner.Plan(Question(EnergyScene.Evening + Duration.FromMinutes(50), 400, Reading(Camera, 0.2, -8)));

        Assert.DoesNotContain(plan.Steps, step => step.Load == Camera);
        Assert.Equal(LeftOutReason.TooCold, Assert.Single(plan.LeftOut, left => left.Load == Camera).Reason);
    }

    [Fact]
    public void Plan_UnknownTemperature_NeverChargesAtOnce()
    {
        ChargingPlan plan = Plan(budget: 400);

        Assert.All(
            plan.Steps.Where(step => step.Kind == ChargingStepKind.Charge), step => Assert.True(step.From >= EnergyScene.Evening + Duration.FromHours(1)));
    }

    [Fact]
    public void Plan_LittleEnergy_ServesLifeSafetyFirstAndSaysWhatIsLeftOut()
    {
        ChargingPlan plan = Plan(budget: 5, Reading(Camera, 0.1, 12), Reading(Messenger, 0.1, 12));

        Assert.Contains(plan.Steps, step => step.Load == Messenger && step.Kind == ChargingStepKind.Charge);
        Assert.Contains(plan.LeftOut, left => left.Load == Camera && left.Reason is LeftOutReason.EnergyShort or LeftOutReason.Partly);
        Assert.True(plan.Budgets[0].MaySpend.Value <= 5);
    }

    [Fact]
    public void Plan_NoOutlet_SaysSo()
    {
        ChargingQuestion question = Question(Morning, 400);
        question = question with { Energy = question.Energy.With(item => item is Outlet ? null : item) };

        Assert.Contains(ChargingPlanner.Plan(question).LeftOut, left => left.Reason == LeftOutReason.NoOutlet);
    }

    [Fact]
    public void Plan_HotDevice_IsLeftOut() =>
        Assert.Equal(LeftOutReason.TooHot, Assert.Single(Plan(400, Reading(Camera, 0.2, 52)).LeftOut, left => left.Load == Camera).Reason);

    [Fact]
    public void Plan_FullDevice_IsNotPluggedIn() =>
        Assert.Equal(LeftOutReason.NotNeeded, Assert.Single(Plan(400, Reading(Camera, 1, 12)).LeftOut, left => left.Load == Camera).Reason);

    private static ChargingPlan Plan(double budget, params TimedReading[] readings) => ChargingPlanner.Plan(Question(Morning, budget, readings));

    private static ChargingQuestion Question(Instant deadline, double budget, params TimedReading[] readings)
    {
        EnergyQuestion energy = EnergyScene.Question([EnergyScene.Battery(0.3, 13.3, -1, 0.8, 6), .. readings]);
        return new ChargingQuestion(energy with { Kit = energy.Kit.Append(Usb).ToValueList() }, null, deadline, new WattHours(budget));
    }

    private static TimedReading Reading(KitId load, double charge, double celsius) => new(
        EnergyScene.Evening - Duration.FromMinutes(10), new LoadReading(load, ChargeActivity.Discharging, new StateOfCharge(charge), null, null, new Celsius(celsius)));
}
