using KitMesh.Demo.Power;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Learning;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

// Each kit makes two trips under other skies: what the first taught goes into the second's plan, and the second is scored by CRPS, planned from the trip file alone,
// planned from what was learnt, and planned from the kit as it really is. Two worlds, neither of the model's family: the demo's, and that of the back-test, whose kit is farther from its trip file.
// A season's sky is one for all plans; what learning can bring is the kit. So energies are scored as well as the charge, which storms decide. Trap: where a plan is too careful of the weather and
// the trip file too hopeful of the kit, the two faults hide each other, and whoever learns the kit is scored down for it. The exact kit shows where that is so.

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
        ValueList<KitItem> exact = KitMiss.Exact(kit, first);
        foreach (Bank bank in played.OfType<Bank>())
        {
            PlayedBank happened = PlayedBank.Of(second, bank);
            foreach (PlanScore score in Scored(new Plans(kit, start, exact, second.Scene.Start, bank.Id, paths), happened))
            {
                yield return score;
            }
        }
    }

    public static IEnumerable<PlanScore> InTheTrial(int seed, int paths)
    {
        var place = new Place(KitId.Parse("trial place"), new(42), new(0), new(3500), new(-22), new(-5), 0.65, 0.6, ValueList<HorizonPoint>.Empty);
        Instant begin = Instant.FromUtc(2027, 2, 1, 0, 0);
        ForecastWorld World(int trip) => new(new RegimeWeather((ulong)trip, begin, Days, 0), place, begin, Days, trip, kitSeed: seed);
        ForecastWorld first = World(seed + 11);
        Instant end = begin + Duration.FromDays(Days);
        LearntStart start = Start(first.Kit, first.ReadingsUntil(end), end);
        ForecastWorld second = World(seed + 503);
        return Scored(new Plans(second.Kit, start, second.Exact, begin, ForecastKit.BankId, paths), second.Played);
    }

    private static IEnumerable<PlanScore> Scored(Plans plans, PlayedBank happened)
    {
        PlanScore One(string quantity, Func<EnergyEnsemble, IReadOnlyList<double[]>> of, double[] days, Func<IEnumerable<double>, double> sum) => Score(quantity, plan =>
            Scores.Crps([.. Enumerable.Range(0, of(plan)[0].Length).Select(path => sum(of(plan).Select(day => day[path])))], sum(days)));
        PlanScore Score(string quantity, Func<EnergyEnsemble, double> crps) => new(quantity, crps(plans.Declared), crps(plans.Taught), crps(plans.Exact));
        yield return One("loads, Wh a day", plan => plan.LoadWattHours, happened.LoadWh, Enumerable.Average);
        yield return One("heater, Wh a day", plan => plan.HeaterWattHours, happened.HeaterWh, Enumerable.Average);
        yield return One("sun, Wh a day", plan => plan.HarvestWattHours, happened.SunWh, Enumerable.Average);
        yield return One("lowest charge of the trip", plan => plan.LowestFractions, happened.LowestFraction, Enumerable.Min);
        yield return Score("charge at the end of each day", plan => Enumerable.Range(0, happened.EndFraction.Length).Average(day => Scores.Crps(plan.EndFractions[day], happened.EndFraction[day])));
    }

    private static LearntStart Start(ValueList<KitItem> kit, ValueList<TimedReading> readings, Instant end) =>
        LearntStart.Of(kit, TripLearning.Pool(TripLearning.Of(kit, readings, null, new Dictionary<KitId, int>(), end)));

    private sealed class Plans(ValueList<KitItem> kit, LearntStart start, ValueList<KitItem> exact, Instant begin, KitId bank, int paths)
    {
        /// <summary>Somebody who knows the kit doubts it no more than by this.</summary>
        private const double ExactDoubt = 0.01;

        public EnergyEnsemble Declared { get; } = Plan(kit, [], begin, bank, paths);

        public EnergyEnsemble Taught { get; } = Plan(start.Kit, start.Doubts, begin, bank, paths);

        public EnergyEnsemble Exact { get; } = Plan(exact, start.Doubts.Select(doubt => doubt with { Relative = ExactDoubt }).ToValueList(), begin, bank, paths);

        private static EnergyEnsemble Plan(ValueList<KitItem> kit, ValueList<KitDoubt> doubts, Instant begin, KitId bank, int paths) =>
            EnergyEnsemble.Of(new EnergyQuestion(begin, kit, [], [], 1, paths) { Doubts = doubts, Caution = PlanCaution.Usual }, bank, learn: false)!;
    }
}
