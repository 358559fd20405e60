using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Learning;
using KitMesh.Outlook.Plan;
using KitMesh.Tests.Outlook.Energy;
using NodaTime;

namespace KitMesh.Tests.Outlook.Learning;

/// <summary>From readings to evidence to the next plan.</summary>
public sealed class LearntStartTests
{
    private static readonly KitId Camera = KitId.Parse("ridge camera");

    [Fact]
    public void Evidence_HungryCamera_IsItsOwnMeanWithoutTheDeclaredGuess()
    {
        TripEvidence camera = Evidence(105).Single(one => one.Item == Camera);

        Assert.Equal(105, camera.Value, 1e-6);
        Assert.Equal(70, camera.Declared);
        Assert.Equal(10, camera.Evidence);
        Assert.Equal("work", camera.Kind);
        Assert.Equal("trip 2027-02-08", camera.Trip);
    }

    [Fact]
    public void Evidence_ColdDaysTakeMore_IsToldByKelvin()
    {
        // 1 % more for each kelvin of cold; days between -16 and -7 °C.
        TripEvidence camera = Evidence(100, perKelvin: -0.01).Single(one => one.Item == Camera);

        Assert.NotNull(camera.PerKelvin);
        Assert.InRange(camera.PerKelvin!.Value, -0.0105, -0.003);
    }

    [Fact]
    public void Plan_AfterLearning_StartsFromWhatWasMeasuredAndShowsIt()
    {
        var question = new PlanQuestion(EnergyScene.Kit.ToValueList(), PlanExtras.None, Paths: 1_000);

        PlanQuestion next = question.With(TripLearning.Pool(Evidence(105)));
        TripPlan before = TripPlanner.Answer(question);
        TripPlan after = TripPlanner.Answer(next);

        LearntUse camera = after.Learnt.Single(use => use.Item == Camera);
        Assert.InRange(camera.Used, 95, 106);
        Assert.Contains("trip 2027-02-08", camera.Because, StringComparison.Ordinal);
        Assert.InRange(after.Sums.Single().PerDay.Value, before.Sums.Single().PerDay.Value + 25, before.Sums.Single().PerDay.Value + 37);
        Assert.True(after.Energy.Banks[0].ShortByLastDay.Best.Value >= before.Energy.Banks[0].ShortByLastDay.Best.Value);
        Assert.Empty(before.Learnt);
    }

    [Fact]
    public void Start_LoadInOtherAir_GoesWithTheTemperature()
    {
        // The camp's mean is (-31 - 9) / 2 = -20 °C; measured at -10 °C with 1 % a kelvin: 10 % more.
        var learnt = new LearntKit([], [new KitPosterior(Camera, LearntFigure.LoadPerDay, "Wh/d", 80, 0.05, 8, -0.01, -10, ["a"], 20, 0.1)], []);

        LearntStart start = LearntStart.Of(EnergyScene.Kit.ToValueList(), learnt);

        Load camera = start.Kit.OfType<Load>().Single(load => load.Id == Camera);
        Assert.Equal(88, camera.PerDay.Value, 1e-9);
        Assert.Equal(8 / 88.0, camera.Spread, 1e-9);
        Assert.Equal(0.05, start.Doubts.Single().Relative);
    }

    [Fact]
    public void Start_UnseenDevice_TakesItsKindsFactorAndAPanelAndBoxTheirOwn()
    {
        var learnt = new LearntKit(
            [],
            [
                new KitPosterior(EnergyScene.PanelId, LearntFigure.PanelDerate, "1", 0.62, 0.04, null, null, null, ["a"], 20, 0),
                new KitPosterior(KitId.Parse("ridge box"), LearntFigure.BoxLoss, "W/K", 0.18, 0.1, null, null, null, ["a"], 20, 0),
            ],
            [new KindPosterior("work", LearntFigure.LoadPerDay, 1.2, 0.2, 3), new KindPosterior("comfort", LearntFigure.LoadPerDay, 2, 0.2, 1)]);

        ValueList<KitItem> kit = LearntStart.Of(EnergyScene.Kit.ToValueList(), learnt).Kit;

        Assert.Equal(84, kit.OfType<Load>().Single(load => load.Id == Camera).PerDay.Value, 1e-9);
        Assert.Equal(20, kit.OfType<Load>().Single(load => load.Class == LoadClass.Comfort).PerDay.Value);
        Assert.Equal(0.62, kit.OfType<Panel>().Single().Derate);
        Assert.Equal(0.18, kit.OfType<Box>().Single().Loss.Value);
    }

    private static ValueList<TripEvidence> Evidence(double perDay, double perKelvin = 0)
    {
        var readings = new List<TimedReading>();
        Instant start = new LocalDate(2027, 2, 8).AtMidnight().WithOffset(Offset.FromHours(6)).ToInstant();
        double counter = 500;
        for (int hour = 0; hour <= 240; hour++)
        {
            double air = -16 + (hour / 24 % 10);
            readings.Add(new TimedReading(start + Duration.FromHours(hour), new LoadReading(Camera, ChargeActivity.Unknown, null, null, new WattHours(counter), null)));
            readings.Add(new TimedReading(start + Duration.FromHours(hour), new TemperatureReading(EnergyScene.PlaceId, "air", new Celsius(air))));
            counter += perDay / 24 * (1 + (perKelvin * (air + 11.5)));
        }

        return TripLearning.Of(EnergyScene.Kit.ToValueList(), readings.ToValueList(), null, new Dictionary<KitId, int>(), start + Duration.FromDays(10));
    }
}
