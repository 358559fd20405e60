using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Models.Battery;
using KitMesh.Outlook.Plan;
using KitMesh.Tests.Architecture;
using KitMesh.TripFile;

namespace KitMesh.Tests.Outlook.Plan;

/// <summary>The plan of deploy/trip.example.yaml against sums worked by hand from what the file declares.</summary>
public sealed class TripPlannerTests
{
    private static readonly string Example = File.ReadAllText(SourceTree.PathTo("deploy", "trip.example.yaml"));

    [Fact]
    public void Sums_OfTheExample_AreTheHandWorkedOnes()
    {
        TripPlan plan = Plan(Example);

        // 2027-02-08 to 2027-03-05 both included: 21 days in February and 5 in March.
        Assert.Equal(26, plan.Days);
        EnergySum sum = Assert.Single(plan.Sums);
        Assert.Equal(4 + 6 + 48, sum.PerDay.Value, 1e-9);
        Assert.Equal(58 * 26, sum.Needed.Value, 1e-9);
        Assert.Equal(sum.Holds.Value * 0.3, sum.OnArrival.Value, 1e-9);
        Assert.Equal(sum.Holds.Value * 0.1 / 58, sum.SunlessDays, 1e-9);
        Assert.InRange(sum.Holds.Value, 0.95 * 1_280, 0.95 * 1_360); // 95 % of 100 Ah at four cells of 3.2 to 3.4 V.
    }

    [Fact]
    public void Sunless_FarNorthInFebruary_SaysUntilWhenTheSunDoesNotRise()
    {
        Assert.Empty(Plan(Example).Sunless);

        SunlessSpan dark = Assert.Single(Plan(System.Text.RegularExpressions.Regex.Replace(Example, "latitude: [-0-9.]+", "latitude: 79")).Sunless);

        // It rises once its declination is above -(90 - 79) - 0.833 degrees (50 minutes of arc for refraction and radius, as almanacs have it): -11.8 degrees on about 18 February (from memory).
        Assert.Equal(new NodaTime.LocalDate(2027, 2, 8), dark.From);
        Assert.InRange(dark.To, new NodaTime.LocalDate(2027, 2, 16), new NodaTime.LocalDate(2027, 2, 19));
        Assert.Equal(NodaTime.Period.DaysBetween(dark.From, dark.To) + 1, dark.Days);
    }

    [Fact]
    public void Storage_OfTheExample_IsTheHandWorkedOne()
    {
        StorageSum storage = Plan(Example).Storage!;

        // 180 GB a day for 26 days, two copies, on two drives of 4 TB (SI units, BIPM brochure: tera is a thousand giga).
        Assert.Equal(180 * 26 * 2, storage.NeededGigabytes, 1e-9);
        Assert.Equal(8_000, storage.HaveGigabytes, 1e-9);
        Assert.Equal(8_000 / 360.0, storage.RunwayDays, 1e-9);
        Assert.True(Plan(Example).BadNews);
    }

    [Fact]
    public void Night_OfTheExample_IsTheHandWorkedOne()
    {
        ChargeNight night = Assert.Single(Plan(Example).Nights);

        // 4 Wh at 5 W and 48 Wh at 60 W are 0.8 h each; one outlet from 18 to 7 o'clock has 13 h.
        Assert.Equal(1.6, night.Hours, 1e-9);
        Assert.Equal(13, night.HoursThereAre, 1e-9);
    }

    [Fact]
    public void Air_OfTheExample_SendsThePackAsCargoAndDatesTheRule()
    {
        AirRow pack = Plan(Example).Air.Single(row => row.Item == KitId.Parse("pack 1"));

        // Wh = V x Ah (49 CFR 175.10(a)(18)): 4 x 3.2 V x 100 Ah = 1,280 Wh, over 160 Wh.
        Assert.Equal(1_280, pack.Each.Value, 1e-9);
        Assert.Equal(AirVerdict.NotAllowed, pack.Verdict);
        Assert.NotEqual("", pack.RuleDate);
    }

    [Fact]
    public void GearAndChoices_AreWeighedCountedRuledAndRanked()
    {
        TripPlan plan = Plan(Example + Extras);

        CarriedWeight lead = plan.Weights.Single(weight => weight is { IsSled: false, Carrier.Value: "base lead" });
        Assert.Equal(0.35 + (3 * 0.4), lead.Mass.Value, 1e-9);
        Assert.Equal(11 + 6.4, plan.Weights.Single(weight => weight is { IsSled: false, Carrier.Value: "base team" }).Mass.Value, 1e-9);
        Assert.Equal(1.2, plan.Weights.Single(weight => weight.IsSled).Mass.Value, 1e-9);
        AirRow banks = plan.Air.Single(row => row.Item == KitId.Parse("power bank"));
        Assert.Equal((AirKind.PowerBank, 3, AirVerdict.NotAllowed, "2026-03-27"), (banks.Kind, banks.EachPerson, banks.Verdict, banks.RuleDate));
        Assert.Contains(plan.SinglePoints, point => point.Words == "the only charger that fits camera battery");
        Assert.Contains(plan.SinglePoints, point => point.Words == "the only pack of main bank");
        Assert.Equal(4, plan.Spares.Count);
        Assert.All(plan.Spares, spare => Assert.True(spare.After.Value <= spare.Before.Value));
        double[] worth = [.. plan.Spares.Select(spare => (spare.Before.Value - spare.After.Value) / spare.Mass.Value)];
        Assert.Equal(worth.OrderDescending(), worth);
    }

    [Fact]
    public void Lightest_OfTheExample_IsWhatJudgingEveryCombinationFinds()
    {
        PlanQuestion question = Question(Example + Extras);
        LightestKit lightest = LightestKits.Find(question);

        LightestGroup bank = lightest.Groups.Single(group => group.For == "main bank");
        Assert.True(bank.IsProven);
        var world = new PlanWorld(question.Kit, question.Seed, []);
        double brute = double.PositiveInfinity;
        for (int packs = 0; packs <= 3; packs++)
        {
            for (int panels = 0; panels <= 3; panels++)
            {
                IEnumerable<KitItem> kit = KitCounts.With(KitCounts.With(question.Kit, KitId.Parse("pack 1"), KitKind.Pack, packs), KitId.Parse("panel 1"), KitKind.Panel, panels);
                if (world.ShortChance(KitId.Parse("main bank"), kit, 2_000) <= question.ShortLimit)
                {
                    brute = Math.Min(brute, (packs * 11) + (panels * 6.4));
                }
            }
        }

        Assert.Equal(brute, bank.Mass?.Value ?? double.PositiveInfinity, 1e-4);
        Assert.InRange(lightest.Outlooks, 1, LightestKits.MostOutlooks);
        Assert.NotNull(lightest.Groups.Single(group => group.For == "drives").Mass);
    }

    [Fact]
    public void Lightest_NothingGoodEnough_SaysWhatWouldDo()
    {
        LightestKit lightest = LightestKits.Find(Question(Example + """

            choices:
              - item: drive red
                most: 1
                mass: 0.2 kg
            """));

        Assert.Null(lightest.Mass);
        Assert.Contains("8 times the most", Assert.Single(lightest.Groups).WouldDo, StringComparison.Ordinal);
    }

    internal const string Extras = """

        gear:
          - name: camera charger
            kind: charger
            fits: camera battery
            mass: 350 g
            carrier: base lead
          - name: power bank
            kind: power-bank
            count: 3
            energy: 99 Wh
            mass: 0.4 kg
            carrier: base lead
            sled: grey sled
        choices:
          - item: pack 1
            most: 3
          - item: panel 1
            most: 3
          - item: drive red
            least: 1
            most: 6
            mass: 0.2 kg
          - item: drive blue
            least: 1
            most: 6
            mass: 0.2 kg
        """;

    private static TripPlan Plan(string text) => TripPlanner.Answer(Question(text) with { Paths = 2_000 });

    private static PlanQuestion Question(string text)
    {
        TripRead read = Assert.IsType<TripRead>(TripFileReader.Read("trip.yaml", text));
        return new PlanQuestion(read.Items, read.Extras);
    }
}
