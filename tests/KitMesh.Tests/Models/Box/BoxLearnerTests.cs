using KitMesh.Domain.Quantities;
using KitMesh.Models.Box;
using NodaTime;

namespace KitMesh.Tests.Models.Box;

/// <summary>C and UA learnt from ordinary readings of a box whose truth is known.</summary>
public sealed class BoxLearnerTests
{
    private static readonly BoxModel Truth = new(new(14_000), new(0.32));

    [Fact]
    public void Learner_HeaterSwitchingThroughDays_FindsBoth()
    {
        BoxBelief belief = Learn(heats: true, days: 8);

        Assert.Equal(Truth.Loss.Value, belief.Model.Loss.Value, 0.05);
        Assert.Equal(Truth.Capacity.Value, belief.Model.Capacity.Value, 2_000.0);
        Assert.True(belief.LossSigma < 0.15);
    }

    [Fact]
    public void Learner_OnlyCooling_LearnsTheRatioAndAdmitsTheRest()
    {
        BoxBelief belief = Learn(heats: false, days: 8);

        Assert.Equal(Truth.TauSeconds, belief.Model.TauSeconds, 6_000.0);
        Assert.True(belief.CapacitySigma > 0.2, $"capacity sigma {belief.CapacitySigma}");
    }

    [Fact]
    public void Learner_NoReadings_KeepsWhatWasDeclared()
    {
        BoxBelief belief = new BoxLearner(new(new(12_000), new(0.25))).Belief;

        Assert.Equal(12_000, belief.Model.Capacity.Value, 1e-6);
        Assert.Equal(0.25, belief.Model.Loss.Value, 1e-9);
        Assert.Equal(0, belief.Readings);
    }

    private static BoxBelief Learn(bool heats, int days)
    {
        var learner = new BoxLearner(new(new(10_000), new(0.25)), 0.5);
        Celsius cell = new(8);
        for (int hour = 0; hour < days * 24; hour++)
        {
            Celsius outside = new(-18 + (9 * Math.Cos((hour - 14) * Math.PI / 12)));
            double watts = heats && hour % 24 is >= 4 and < 12 ? 25 : 0;
            Celsius after = Truth.After(new(watts), outside, cell, Duration.FromHours(1));

            // A thermometer that reads in steps of an eighth of a kelvin, as 1-Wire ones do.
            learner.See(Round(cell), Round(after), outside, new(watts), Duration.FromHours(1));
            cell = after;
        }

        return learner.Belief;
    }

    private static Celsius Round(Celsius value) => new(Math.Round(value.Value * 8) / 8);
}
