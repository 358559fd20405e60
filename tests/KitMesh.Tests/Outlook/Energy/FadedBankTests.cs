using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;
using KitMesh.Outlook.Energy;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>A bank that has lost capacity, from its readings to the answer.</summary>
public sealed class FadedBankTests
{
    [Fact]
    public void Answer_BankFadedToSeventyPercent_LowersTheAutonomyAndSaysSo()
    {
        BankOutlook sound = Answer(1);
        BankOutlook faded = Answer(0.7);

        Assert.DoesNotContain(sound.Assumptions, assumption => assumption.Assumed.Contains("a capacity of", StringComparison.Ordinal));
        Assert.Contains(faded.Assumptions, assumption => assumption.Assumed.Contains("a capacity of", StringComparison.Ordinal));
        Assert.True(faded.Autonomy.P50 < sound.Autonomy.P50, $"{faded.Autonomy} against {sound.Autonomy}");
    }

    // Ten days of half-cycles by 24 Ah between rests; both banks end at the same charge, so that only what they hold differs.
    private static BankOutlook Answer(double capacityShare)
    {
        EnergyQuestion question = EnergyScene.Question().With(item => item is Pack pack ? pack with { Chemistry = Chemistry.Nmc } : item);
        Pack declared = question.Kit.OfType<Pack>().Single();
        var model = new PackModel(declared);
        double charge = 0.9;
        var readings = new List<TimedReading>();
        for (int hour = 0; hour < 240; hour++)
        {
            bool draws = hour / 6 % 2 == 0;
            double? volts = hour % 6 == 0 ? model.OpenCircuit(new StateOfCharge(charge)).Value : null;
            double amperes = draws ? -4 : 4;
            readings.Add(EnergyScene.Battery(240 - hour, volts, amperes, celsius: 15 + (hour % 7 * 0.1), rested: hour % 6 == 0));
            charge += amperes / (declared.Capacity.Value * capacityShare);
        }

        readings.Add(EnergyScene.Battery(0, model.OpenCircuit(new StateOfCharge(charge)).Value, 0, celsius: 15, rested: true));
        return Assert.Single(EnergyForecaster.Answer(question with { Readings = ValueListOf(readings) }).Banks);
    }

    private static Domain.ValueList<TimedReading> ValueListOf(List<TimedReading> readings) => [.. readings];
}
