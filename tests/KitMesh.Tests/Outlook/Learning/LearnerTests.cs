using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Learning;
using NodaTime;

namespace KitMesh.Tests.Outlook.Learning;

/// <summary>What is learnt from readings, against known truths.</summary>
public sealed class LearnerTests
{
    private static readonly LocalDate Today = new(2027, 2, 20);
    private static readonly Offset Zone = Offset.FromHours(6);

    private static readonly Load Camera = new(
        KitId.Parse("camera"), KitId.Parse("team"), KitId.Parse("bank"), LoadClass.Work, 1, new(70), 0.3, new WattHours(150), new Watts(60), Chemistry.Nmc);

    [Fact]
    public void Load_WithoutReadings_IsAsDeclaredWithItsDoubt()
    {
        LoadBelief belief = LoadLearner.Learn(Camera, [], Zone, Today);

        Assert.Equal(70, belief.MeanWh);
        Assert.Equal(0.25 * 70, belief.MeanSd, 1e-9);
    }

    [Fact]
    public void Load_CounterOfTenDays_MovesTheMeanAndShrinksTheDoubt()
    {
        LoadBelief belief = LoadLearner.Learn(Camera, Counter(perDay: 105, days: 10, resetAfterHours: null), Zone, Today);

        Assert.Equal(10, belief.Days, 1.0);
        Assert.InRange(belief.MeanWh, 92, 105);
        Assert.True(belief.MeanSd < 0.25 * 70 / 2);
    }

    [Fact]
    public void Load_CounterThatRestarts_IsNotSeenAsNegative()
    {
        LoadBelief belief = LoadLearner.Learn(Camera, Counter(perDay: 105, days: 10, resetAfterHours: 100), Zone, Today);

        Assert.InRange(belief.MeanWh, 85, 110);
    }

    [Fact]
    public void Sky_DirtyPanel_SharesTheBlameAndKeepsTheProduct()
    {
        SkyShape sky = SkyShape.Fit(0.75, 0.2);

        // The days of this sky as they come, each at 80 % of the declared panel.
        DayYield[] ratios = [.. Enumerable.Range(0, 24).Select(i => new DayYield(0.8 * sky.At(-1.9 + (3.8 * i / 23)), false, 24 - i))];
        SkyBelief belief = SkyLearner.Learn(sky, ratios);

        // Yields alone cannot tell dirt from haze; their product is what the outlook needs, and it must be right.
        double learnt = belief.Curve.Moments().Mean * belief.PanelFactor;
        Assert.InRange(learnt, 0.55, 0.65);
        Assert.True(belief.PanelFactor < 0.97);
        Assert.True(belief.PanelDoubt < SkyLearner.PanelPrior);
    }

    [Fact]
    public void Sky_GloomySeason_MovesTheMeanDown()
    {
        SkyShape declared = SkyShape.Fit(0.75, 0.2);
        SkyShape truth = SkyShape.Fit(0.5, 0.21);
        DayYield[] ratios = [.. Enumerable.Range(0, 24).Select(i => new DayYield(truth.At(-1.9 + (3.8 * i / 23)), false, 24 - i))];

        SkyBelief belief = SkyLearner.Learn(declared, ratios);

        double learnt = belief.Curve.Moments().Mean * belief.PanelFactor;
        Assert.InRange(learnt, 0.45, 0.65);
        Assert.True(belief.Doubt < SkyLearner.Learn(declared, []).Doubt);
    }

    [Fact]
    public void Sky_ThrottledBrightDays_DoNotDarkenTheSky()
    {
        SkyShape sky = SkyShape.Fit(0.75, 0.2);

        // Half of the days the bank was full and the panels throttled to a third: only "at least that bright" may be learnt from them.
        DayYield[] days = [.. Enumerable.Range(0, 24).Select(i => i % 2 == 0 ? new DayYield(0.3, true, 24 - i) : new DayYield(sky.At(-1.5 + (3.0 * i / 23)), false, 24 - i))];
        SkyBelief belief = SkyLearner.Learn(sky, days);

        double learnt = belief.Curve.Moments().Mean * belief.PanelFactor;
        Assert.InRange(learnt, 0.68, 0.85);
    }

    [Fact]
    public void Sky_NoDays_KeepsThePriors()
    {
        SkyBelief belief = SkyLearner.Learn(SkyShape.Fit(0.7, 0.2), []);

        Assert.Equal((1.0, SkyLearner.PanelPrior, SkyLearner.DeclaredPersistence), (belief.PanelFactor, belief.PanelDoubt, belief.Persistence));
        Assert.Equal(0.7, belief.Curve.At(0), 0.1);
    }

    [Fact]
    public void Sky_TwoKindsOfDays_GrowsTwoHumps()
    {
        // Every third day a storm. A curve with one hump would put most days between the two.
        DayYield[] days = [.. Enumerable.Range(0, 30).Select(i => new DayYield(i % 3 == 0 ? 0.12 : 0.92, false, 30 - i))];

        SkyBelief belief = SkyLearner.Learn(SkyShape.Fit(0.65, 0.21), days);

        double storms = SkyCurve.Below(belief.Curve.Position(0.3));
        double between = SkyCurve.Below(belief.Curve.Position(0.75)) - storms;
        Assert.InRange(storms, 0.22, 0.4);
        Assert.True(between < 0.2, $"{between} of the days between the humps");
    }

    [Fact]
    public void Sky_Spells_RaiseThePersistence()
    {
        DayYield[] Days(int length) => [.. Enumerable.Range(0, 30).Select(i => new DayYield(i / length % 2 == 0 ? 0.9 : 0.3, false, 30 - i))];

        Assert.True(SkyLearner.Learn(SkyShape.Fit(0.6, 0.21), Days(5)).Persistence > SkyLearner.DeclaredPersistence);
        Assert.True(SkyLearner.Learn(SkyShape.Fit(0.6, 0.21), Days(1)).Persistence < SkyLearner.DeclaredPersistence);
    }

    [Fact]
    public void Sky_DaysSeenInPart_TellTheBrightnessThatABoundAloneHides()
    {
        // Every day was bright, but the bank was full by ten: all readings together showed 0.4, one free hour 0.9.
        SkyShape declared = SkyShape.Fit(0.6, 0.21);
        SkyBelief bound = SkyLearner.Learn(declared, [.. Enumerable.Range(0, 20).Select(i => new DayYield(0.4, true, 20 - i))]);
        SkyBelief part = SkyLearner.Learn(declared, [.. Enumerable.Range(0, 20).Select(i => new DayYield(0.9, false, 20 - i, 0.14))]);
        SkyBelief whole = SkyLearner.Learn(declared, [.. Enumerable.Range(0, 20).Select(i => new DayYield(0.9, false, 20 - i))]);

        Assert.True(part.Curve.Moments().Mean * part.PanelFactor > (bound.Curve.Moments().Mean * bound.PanelFactor) + 0.02);
        Assert.True(part.Curve.Moments().Sd > whole.Curve.Moments().Sd);
    }

    [Fact]
    public void Load_OneDayOfAHungrierDevice_MovesAShakyGuessMoreThanASteadyOne()
    {
        double Mean(double spread) => LoadLearner.Learn(Camera with { Spread = spread }, Counter(perDay: 140, days: 1, resetAfterHours: null), Zone, Today).MeanWh;

        Assert.True(Mean(0.05) > Mean(0.4));
    }

    [Fact]
    public void Load_DryDays_AreLeftOut()
    {
        HashSet<LocalDate> dry = [.. Enumerable.Range(1, 9).Select(i => Today.PlusDays(-i))];

        // One day of ten is left, against a guess of 70 Wh; all ten would bring the mean below 20 Wh.
        Assert.InRange(LoadLearner.Learn(Camera, Counter(perDay: 10, days: 10, resetAfterHours: null), Zone, Today, dry).MeanWh, 40, 70);
        Assert.InRange(LoadLearner.Learn(Camera, Counter(perDay: 10, days: 10, resetAfterHours: null), Zone, Today).MeanWh, 10, 20);
    }

    [Fact]
    public void Hours_CounterAtNoon_MovesTheEnergyThere()
    {
        Instant start = Today.PlusDays(-20).AtMidnight().WithOffset(Zone).ToInstant();
        IEnumerable<(Instant, LoadReading)> noon = Enumerable.Range(0, 480).Select(hour => (
            start + Duration.FromHours(hour),
            new LoadReading(Camera.Id, ChargeActivity.Unknown, null, null, new WattHours(((hour / 24) + (hour % 24 >= 13 ? 1 : 0)) * 70), null)));

        double[] shares = LoadHours.Learn(LoadHours.Evening, 70, noon, Zone);

        Assert.Equal(1, shares.Sum(), 1e-9);
        Assert.True(shares[12] > 0.8, $"{shares[12]} at noon");
    }

    private static IEnumerable<(Instant, LoadReading)> Counter(double perDay, int days, double? resetAfterHours)
    {
        Instant start = Today.PlusDays(-days).AtMidnight().WithOffset(Zone).ToInstant();
        for (int hour = 0; hour <= days * 24; hour += 2)
        {
            double since = resetAfterHours is { } reset && hour >= reset ? hour - reset : hour;
            yield return (
                start + Duration.FromHours(hour),
                new LoadReading(Camera.Id, ChargeActivity.Unknown, null, null, new WattHours(since * perDay / 24), null));
        }
    }
}
