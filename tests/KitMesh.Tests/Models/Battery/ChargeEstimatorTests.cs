using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Models.Battery;
using NodaTime;

namespace KitMesh.Tests.Models.Battery;

/// <summary>The state-of-charge estimator against a synthetic truth with a faulty sensor.</summary>
public sealed class ChargeEstimatorTests
{
    [Fact]
    public void Estimator_OffsetSensorWithRests_FindsTheChargeAndTheOffset()
    {
        PackModel pack = Pack(Chemistry.Nmc);
        var estimator = new ChargeEstimator(pack, new(0.5), 0.25, new(0.01));
        double truth = 0.82;
        const double Offset = 0.06;
        for (int hour = 0; hour < 240; hour++)
        {
            double amperes = hour % 24 is >= 9 and < 14 ? 1.9 : hour % 24 is >= 18 and < 22 ? -2.2 : -0.05;
            truth = Math.Clamp(truth + (amperes / 24), 0, 1);
            estimator.Count(new(amperes + Offset), Duration.FromHours(1));
            if (hour % 24 == 6)
            {
                estimator.See(pack.OpenCircuit(new(truth)), new(Offset), new(5), rested: true);
            }
        }

        Assert.Equal(truth, estimator.Belief.Charge.Value, 0.03);
        Assert.True(Math.Abs(estimator.Belief.CurrentOffset.Value - Offset) < Offset);
        Assert.True(estimator.Belief.ChargeSigma < 0.05);
        Assert.True(estimator.Belief.HasOffset, $"{estimator.Belief}");
        Assert.False(estimator.Belief.HasFaded, $"{estimator.Belief}");
        Assert.InRange(Offset, estimator.Belief.CurrentOffset.Value - (2.5 * estimator.Belief.OffsetSigma.Value), estimator.Belief.CurrentOffset.Value + (2.5 * estimator.Belief.OffsetSigma.Value));
    }

    [Fact]
    public void Estimator_LfpPlateau_StaysUnsureAndCoversTheTruth()
    {
        PackModel pack = Pack(Chemistry.Lfp);
        var estimator = new ChargeEstimator(pack, new(0.5), 0.25, new(0.01));

        for (int i = 0; i < 20; i++)
        {
            estimator.See(pack.OpenCircuit(new(0.6)), new(0), new(5), rested: true);
        }

        Assert.True(estimator.Belief.ChargeSigma > 0.03, $"sigma {estimator.Belief.ChargeSigma}");
        Assert.InRange(0.6, estimator.Belief.Charge.Value - (2.5 * estimator.Belief.ChargeSigma), estimator.Belief.Charge.Value + (2.5 * estimator.Belief.ChargeSigma));
    }

    [Fact]
    public void Estimator_FadedPack_NoticesTheFade()
    {
        PackModel pack = Pack(Chemistry.Nmc);
        var estimator = new ChargeEstimator(pack, new(0.9), 0.05, new(0.005));
        double truth = 0.9;
        for (int cycle = 0; cycle < 20; cycle++)
        {
            foreach (double amperes in new[] { -3.0, 3.0 })
            {
                for (int i = 0; i < 6; i++)
                {
                    truth = Math.Clamp(truth + (amperes / (24 * 0.85)), 0, 1);
                    estimator.Count(new(amperes), Duration.FromHours(1));
                }

                estimator.See(pack.OpenCircuit(new(truth)), new(0), new(15), rested: true);
            }
        }

        Assert.True(estimator.Belief.CapacityFactor < 0.95, $"factor {estimator.Belief.CapacityFactor}");
        Assert.True(estimator.Belief.HasFaded, $"{estimator.Belief}");
    }

    [Theory]
    [InlineData(1.1)]
    [InlineData(1.12)]
    public void Estimator_SensorThatShowsTooMuch_LearnsItsGain(double gain)
    {
        PackModel pack = Pack(Chemistry.Nmc);
        var estimator = new ChargeEstimator(pack, new(0.9), 0.05, new(0.005));
        double truth = Cycle(estimator, pack, new(24), gain);

        // A cell holds hardly more than its rating, so that more than half of the surplus is surely the sensor's.
        Assert.True(estimator.Belief.CurrentGain > 1 + ((gain - 1) / 2), $"{estimator.Belief}");
        Assert.InRange(gain, estimator.Belief.CurrentGain - (2.5 * estimator.Belief.GainSigma), estimator.Belief.CurrentGain + (2.5 * estimator.Belief.GainSigma));
        Assert.True(estimator.Belief.HasGain, $"{estimator.Belief}");
        Assert.False(estimator.Belief.HasFaded, $"{estimator.Belief}");
        Assert.Equal(truth, estimator.Belief.Charge.Value, 0.03);
    }

    [Fact]
    public void Estimator_SensorThatShowsTooLittle_LearnsTheProductAndNamesNoGain()
    {
        PackModel pack = Pack(Chemistry.Nmc);
        var estimator = new ChargeEstimator(pack, new(0.9), 0.05, new(0.005));
        double truth = Cycle(estimator, pack, new(24), 0.93);

        // Too little current and too little capacity look alike from volts at rest: their product is what is learnt.
        Assert.Equal(0.93, estimator.Belief.CurrentGain * estimator.Belief.CapacityFactor, 0.015);
        Assert.False(estimator.Belief.HasGain, $"{estimator.Belief}");
        Assert.Equal(truth, estimator.Belief.Charge.Value, 0.03);
    }

    [Fact]
    public void Estimator_SoundPackAndSensor_ClaimsNoFault()
    {
        PackModel pack = Pack(Chemistry.Nmc);
        var estimator = new ChargeEstimator(pack, new(0.9), 0.05, new(0.005));
        Cycle(estimator, pack, new(24), 1);

        Assert.False(estimator.Belief.HasGain || estimator.Belief.HasFaded || estimator.Belief.HasOffset, $"{estimator.Belief}");
    }

    // Twenty cycles of 75 % of 24 Ah with a rest at each end; what the sensor shows is the true current times its gain.
    private static double Cycle(ChargeEstimator estimator, PackModel pack, AmpereHours capacity, double gain)
    {
        double truth = 0.9;
        for (int cycle = 0; cycle < 20; cycle++)
        {
            foreach (double amperes in new[] { -3.0, 3.0 })
            {
                for (int i = 0; i < 6; i++)
                {
                    truth = Math.Clamp(truth + (amperes / capacity.Value), 0, 1);
                    estimator.Count(new(amperes * gain), Duration.FromHours(1));
                }

                estimator.See(pack.OpenCircuit(new(truth)), new(0), new(15), rested: true);
            }
        }

        return truth;
    }

    private static PackModel Pack(Chemistry chemistry) => new(new Pack(KitId.Parse("pack"), null, chemistry, 4, new(24), new Ohms(0.045), null, null, null, null));
}
