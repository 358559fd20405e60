using KitMesh.Demo.Power;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Learning;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

// Each kit makes two trips under other skies: what the first taught goes into the second's plan, and every day of every bank of the second is scored by CRPS, planned
// from the trip file alone and planned from what was learnt. Two worlds, neither of the model's family: that of the back-test, whose kit is farther from its
// trip file, and the demo's, whose crew stops work near the reserve, which no plan knows of.

/// <summary>Plans before and after learning, scored.</summary>
internal static class PlanPairs
{
    private const int Days = 26;

    public static (double Before, double After) InTheDemo(ValueList<KitItem> kit, ulong seed, int paths)
    {
        var first = new EnergyWorld(kit, seed, seed + 10_000_000);
        LearntStart start = Start(kit, PlanBenchReadings.Of(first, kit, PlanBench.End(first)).ToValueList(), PlanBench.End(first));
        var second = new EnergyWorld(kit, seed, seed + 20_000_000);
        Instant begin = second.Scene.Start;
        return Score(
            kit, start, begin, paths, kit.OfType<Bank>().Select(bank => bank.Id), (bank, day) => second.At(bank, begin + Duration.FromDays(day + 1)).Charge);
    }

    public static (double Before, double After) InTheTrial(int seed, int paths)
    {
        var place = new Place(KitId.Parse("trial place"), new(42), new(0), new(3500), new(-22), new(-5), 0.65, 0.6, ValueList<HorizonPoint>.Empty);
        Instant begin = Instant.FromUtc(2027, 2, 1, 0, 0);
        ForecastWorld World(int trip) => new(new RegimeWeather((ulong)trip, begin, Days, 0), place, begin, Days, trip, kitSeed: seed);
        ForecastWorld first = World(seed + 11);
        Instant end = begin + Duration.FromDays(Days);
        LearntStart start = Start(first.Kit, first.ReadingsUntil(end), end);
        ForecastWorld second = World(seed + 503);
        return Score(second.Kit, start, begin, paths, [ForecastKit.BankId], (_, day) => second.EndFractions[day]);
    }

    private static LearntStart Start(ValueList<KitItem> kit, ValueList<TimedReading> readings, Instant end) =>
        LearntStart.Of(kit, TripLearning.Pool(TripLearning.Of(kit, readings, null, new Dictionary<KitId, int>(), end)));

    private static (double Before, double After) Score(
        ValueList<KitItem> kit, LearntStart start, Instant begin, int paths, IEnumerable<KitId> banks, Func<KitId, int, double> happened)
    {
        var before = new List<double>();
        var after = new List<double>();
        foreach (KitId bank in banks)
        {
            EnergyEnsemble declared = EnergyEnsemble.Of(new EnergyQuestion(begin, kit, [], [], 1, paths), bank, learn: false)!;
            EnergyEnsemble taught = EnergyEnsemble.Of(new EnergyQuestion(begin, start.Kit, [], [], 1, paths) { Doubts = start.Doubts }, bank, learn: false)!;
            for (int day = 0; day < declared.EndFractions.Count; day++)
            {
                double charge = happened(bank, day);
                before.Add(Scores.Crps(declared.EndFractions[day], charge));
                after.Add(Scores.Crps(taught.EndFractions[day], charge));
            }
        }

        return (before.Average(), after.Average());
    }
}
