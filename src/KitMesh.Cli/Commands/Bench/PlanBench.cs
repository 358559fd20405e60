using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Demo;
using KitMesh.Demo.Power;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Plan;
using KitMesh.TripFile;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

// Problem: whether a plan's chance can be trusted, and whether learning from a trip makes the next plan better.
// Trap: rolling the plan's own paths again proves nothing. Method: the demo's world, whose weather (spells with storms), devices, boxes and panels are not the
// model's, played through many times without devices; another draw of the kit each time, because a plan does not know its kit. Its crew stops all work two points above the
// reserve, so "short" is counted there. For learning, each kit makes two trips
// (PlanPairs).

/// <summary><c>kitmesh bench plan</c>: a plan's chances against many played trips, and plans after learning against plans before.</summary>
internal sealed class PlanBench : ICommandFile
{
    private const double CrewStops = 0.02;

    private readonly Option<int> _trips = OptionKit.Number("--trips", "Trips to play for the chances.", 10, 100_000, 1_000);
    private readonly Option<int> _pairs = OptionKit.Number("--pairs", "Kits that make two trips, the second planned from the first.", 0, 1_000, 20);
    private readonly Option<int> _paths = OptionKit.Number("--paths", "Paths of each plan.", 1_000, 1_000_000, 10_000);
    private readonly Option<ulong> _seed = OptionKit.Number<ulong>("--seed", "Seed of the worlds.", 1, ulong.MaxValue / 2, 1);
    private readonly Option<string?> _trip = OptionKit.Text("--trip", "The trip file. Without it: the demo's.");

    public Command Build(Surroundings surroundings) =>
        new Command("plan", "Play a trip many times in the demo's world and hold the plan's chances against it; score plans after learning against plans before.") { _trips, _pairs, _paths, _seed, _trip }
            .Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        ValueList<KitItem> kit = run.Get(_trip) is { } file
            ? Running.TripText.Check(run, file)!.Items
            : ((TripRead)TripFileReader.Read("trip.yaml", DemoTrip.Text())).Items;
        TripPlan plan = TripPlanner.Answer(new PlanQuestion(kit, PlanExtras.None, Seed: 1, Paths: run.Get(_paths)));
        KitId[] banks = [.. kit.OfType<Bank>().Select(bank => bank.Id)];
        var shorts = banks.ToDictionary(bank => bank, _ => 0);
        var demo = new List<(double Before, double After)>();
        var trial = new List<(double Before, double After)>();
        await run.Talk.WithProgressAsync("plan", progress =>
        {
            for (int i = 0; i < run.Get(_trips); i++)
            {
                run.Stop.ThrowIfCancellationRequested();
                Play(kit, run.Get(_seed) + (ulong)i, shorts);
                progress(0.5 * i / run.Get(_trips));
            }

            for (int i = 0; i < run.Get(_pairs); i++)
            {
                run.Stop.ThrowIfCancellationRequested();
                demo.Add(PlanPairs.InTheDemo(kit, run.Get(_seed) + 1_000_000 + (ulong)i, run.Get(_paths)));
                trial.Add(PlanPairs.InTheTrial((int)(run.Get(_seed) % 1_000_000) + (1_000 * i), run.Get(_paths)));
                progress(0.5 + (0.5 * i / run.Get(_pairs)));
            }

            return Task.CompletedTask;
        });

        run.Out.Json(new
        {
            bench = "plan",
            trips = run.Get(_trips),
            paths = run.Get(_paths),
            seed = run.Get(_seed),
            banks = banks.Select(bank => Row(plan, bank, shorts[bank], run.Get(_trips))),
            quantity = "state of charge at the end of each day of the next trip, fraction",
            learningInBackTestWorld = Learning(trial),
            learningInDemoWorld = Learning(demo),
        });
        return ExitCode.Good;
    }

    private static object Row(TripPlan plan, KitId bank, int shorts, int trips)
    {
        ChanceRange promised = plan.Energy.Banks.Single(one => one.Bank == bank).ShortByLastDay;
        double share = shorts / (double)trips;

        // Wilson's interval, 95 %: E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209 to 212.
        const double Z = 1.959964;
        double middle = (share + (Z * Z / (2 * trips))) / (1 + (Z * Z / trips));
        double half = Z * Math.Sqrt((share * (1 - share) / trips) + (Z * Z / (4.0 * trips * trips))) / (1 + (Z * Z / trips));
        return new
        {
            bank,
            promised = promised.Best,
            promisedLow = promised.Low,
            promisedHigh = promised.High,
            played = share,
            playedLow = middle - half,
            playedHigh = middle + half,
            within = middle - half <= promised.High.Value && middle + half >= promised.Low.Value,
        };
    }

    private static void Play(ValueList<KitItem> kit, ulong seed, Dictionary<KitId, int> shorts)
    {
        var world = new EnergyWorld(kit, seed, seed);
        Instant end = End(world);
        foreach (Bank bank in kit.OfType<Bank>())
        {
            for (Instant at = world.Scene.Start; at <= end; at += Duration.FromMinutes(15))
            {
                if (world.At(bank.Id, at).Charge <= bank.Reserve.Value + CrewStops)
                {
                    shorts[bank.Id]++;
                    break;
                }
            }
        }
    }

    private static object Learning(List<(double Before, double After)> pairs) => new
    {
        pairs = pairs.Count,
        crpsBefore = pairs.Select(pair => pair.Before).DefaultIfEmpty(0).Average(),
        crpsAfter = pairs.Select(pair => pair.After).DefaultIfEmpty(0).Average(),
        pairsBetter = pairs.Count(pair => pair.After < pair.Before),
    };

    internal static Instant End(EnergyWorld world) => world.Scene.At(world.Scene.Trip.LastDay.PlusDays(1), 0);
}
