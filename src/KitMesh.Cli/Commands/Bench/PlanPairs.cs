using KitMesh.Demo.Power;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Learning;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

// Each kit makes two trips under other skies: what the first taught goes into the second's plan, and the second is scored by CRPS, planned from the trip file alone and
// planned from what was learnt. Two worlds, neither of the model's family: the demo's, and that of the back-test, whose kit is farther from its trip file.
// A season's sky is one for both plans; what learning can bring is the kit. So energies are scored as well as the charge, which storms decide.

/// <summary>Plans before and after learning, scored.</summary>
internal static class PlanPairs
{
    private const int Days = 26;

    public static IEnumerable<PlanScore> InTheDemo(ValueList<KitItem> kit, ulong seed, int paths, List<KitMiss> misses)
    {
        ValueList<KitItem> played = PlayedKit.Of(kit);
        var first = new EnergyWorld(played, seed, seed + 10_000_000);
        LearntStart start = Start(kit, PlanBenchReadings.Of(first, played, PlanBench.End(first)).ToValueList(), PlanBench.End(first));
        misses.AddRange(KitMiss.Of(kit, start.Kit, first));
        var second = new EnergyWorld(played, seed, seed + 20_000_000);
        foreach (Bank bank in played.OfType<Bank>())
        {
            PlayedBank happened = PlayedBank.Of(second, bank);
            (EnergyEnsemble declared, EnergyEnsemble taught) = Plans(kit, start, second.Scene.Start, bank.Id, paths);
            IEnumerable<PlanScore> scores = Scored(declared, taught, happened);
            foreach (PlanScore score in scores)
            {
                yield return score;
            }
        }
    }

    public static PlanScore InTheTrial(int seed, int paths)
    {
        var place = new Place(KitId.Parse("trial place"), new(42), new(0), new(3500), new(-22), new(-5), 0.65, 0.6, ValueList<HorizonPoint>.Empty);
        Instant begin = Instant.FromUtc(2027, 2, 1, 0, 0);
        ForecastWorld World(int trip) => new(new RegimeWeather((ulong)trip, begin, Days, 0), place, begin, Days, trip, kitSeed: seed);
        ForecastWorld first = World(seed + 11);
        Instant end = begin + Duration.FromDays(Days);
        LearntStart start = Start(first.Kit, first.ReadingsUntil(end), end);
        ForecastWorld second = World(seed + 503);
        (EnergyEnsemble declared, EnergyEnsemble taught) = Plans(second.Kit, start, begin, ForecastKit.BankId, paths);
        double Mean(EnergyEnsemble plan) => Enumerable.Range(0, Days).Average(day => Scores.Crps(plan.EndFractions[day], second.EndFractions[day]));
        return new PlanScore("charge at the end of each day", Mean(declared), Mean(taught));
    }

    private static IEnumerable<PlanScore> Scored(EnergyEnsemble declared, EnergyEnsemble taught, PlayedBank happened)
    {
        PlanScore One(string quantity, Func<EnergyEnsemble, IReadOnlyList<double[]>> of, double[] days, Func<IEnumerable<double>, double> sum)
        {
            double[] Members(EnergyEnsemble plan) => [.. Enumerable.Range(0, of(plan)[0].Length).Select(path => sum(of(plan).Select(day => day[path])))];
            return new PlanScore(quantity, Scores.Crps(Members(declared), sum(days)), Scores.Crps(Members(taught), sum(days)));
        }

        yield return One("loads, Wh a day", plan => plan.LoadWattHours, happened.LoadWh, Enumerable.Average);
        yield return One("heater, Wh a day", plan => plan.HeaterWattHours, happened.HeaterWh, Enumerable.Average);
        yield return One("sun, Wh a day", plan => plan.HarvestWattHours, happened.SunWh, Enumerable.Average);
        yield return One("lowest charge of the trip", plan => plan.LowestFractions, happened.LowestFraction, Enumerable.Min);
        double Days(EnergyEnsemble plan) => Enumerable.Range(0, happened.EndFraction.Length).Average(day => Scores.Crps(plan.EndFractions[day], happened.EndFraction[day]));
        yield return new PlanScore("charge at the end of each day", Days(declared), Days(taught));
    }

    private static (EnergyEnsemble Declared, EnergyEnsemble Taught) Plans(ValueList<KitItem> kit, LearntStart start, Instant begin, KitId bank, int paths) =>
    (
        EnergyEnsemble.Of(new EnergyQuestion(begin, kit, [], [], 1, paths) { Caution = PlanCaution.Usual }, bank, learn: false)!,
        EnergyEnsemble.Of(new EnergyQuestion(begin, start.Kit, [], [], 1, paths) { Doubts = start.Doubts, Caution = PlanCaution.Usual }, bank, learn: false)!);

    private static LearntStart Start(ValueList<KitItem> kit, ValueList<TimedReading> readings, Instant end) =>
        LearntStart.Of(kit, TripLearning.Pool(TripLearning.Of(kit, readings, null, new Dictionary<KitId, int>(), end)));
}
