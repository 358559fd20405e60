using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Demo;
using KitMesh.Demo.Power;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Outlook.Plan;
using KitMesh.TripFile;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

// Problem: whether a plan's chance can be trusted, and whether learning from a trip makes the next plan better.
// Trap: rolling the plan's own paths again proves nothing. Method: the demo's world, whose weather (spells with storms), devices, boxes and panels are not the
// model's, played through many times without devices; another draw of the kit each time, because a plan does not know its kit (PlayedKit, PlanCheck). For learning, each kit
// makes two trips (PlanPairs).

/// <summary><c>kitmesh bench plan</c>: a plan's chances against many played trips, and plans after learning against plans before.</summary>
internal sealed class PlanBench : ICommandFile
{
    private readonly Option<int> _trips = OptionKit.Number("--trips", "Trips to play for the chances.", 10, 100_000, 1_000);
    private readonly Option<int> _pairs = OptionKit.Number("--pairs", "Kits that make two trips, the second planned from the first.", 0, 1_000, 100);
    private readonly Option<int> _paths = OptionKit.Number("--paths", "Paths of each plan.", 1_000, 1_000_000, 10_000);
    private readonly Option<ulong> _seed = OptionKit.Number<ulong>("--seed", "Seed of the worlds.", 1, ulong.MaxValue / 2, 1);
    private readonly Option<string?> _trip = OptionKit.Text("--trip", "The trip file. Without it: the demo's.");
    private readonly Option<bool> _plug = OptionKit.Switch("--plug", "The file's loads were meant at the plug: every device takes a ninth more from the bank than declared.");

    public Command Build(Surroundings surroundings) =>
        new Command("plan", "Play a trip many times in the demo's world and hold the plan's chances against it; score plans after learning against plans before.") { _trips, _pairs, _paths, _seed, _trip, _plug }
            .Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        ValueList<KitItem> kit = run.Get(_trip) is { } file
            ? Running.TripText.Check(run, file)!.Items
            : ((TripRead)TripFileReader.Read("trip.yaml", DemoTrip.Text())).Items;
        TripPlan plan = TripPlanner.Answer(new PlanQuestion(kit, PlanExtras.None, Seed: 1, Paths: run.Get(_paths)));
        var played = plan.Energy.Banks.ToDictionary(bank => bank.Bank, _ => new List<PlayedBank>());
        var demo = new List<PlanScore[]>();
        var trial = new List<PlanScore[]>();
        var misses = new List<KitMiss>();
        await run.Talk.WithProgressAsync("plan", progress =>
        {
            ValueList<KitItem> real = run.Get(_plug) ? PlayedKit.AtThePlug(kit) : PlayedKit.Of(kit);
            for (int i = 0; i < run.Get(_trips); i++)
            {
                run.Stop.ThrowIfCancellationRequested();
                Play(real, run.Get(_seed) + (ulong)i, played);
                progress(0.5 * i / run.Get(_trips));
            }

            for (int i = 0; i < run.Get(_pairs); i++)
            {
                run.Stop.ThrowIfCancellationRequested();
                demo.Add([.. PlanPairs.InTheDemo(kit, run.Get(_seed) + 1_000_000 + (ulong)i, run.Get(_paths), misses)]);
                trial.Add([.. PlanPairs.InTheTrial((int)(run.Get(_seed) % 1_000_000) + (1_000 * i), run.Get(_paths))]);
                progress(0.5 + (0.5 * i / run.Get(_pairs)));
            }

            return Task.CompletedTask;
        });

        var check = new PlanCheck(plan, kit, played, run.Get(_paths));
        run.Out.Json(new
        {
            bench = "plan",
            trip = plan.Trip,
            trips = run.Get(_trips),
            paths = run.Get(_paths),
            seed = run.Get(_seed),
            banks = check.Banks(),
            bins = check.Bins(),
            parts = check.Parts(),
            learnt = KitMiss.Sum(misses),
            learningInDemoWorld = PlanScore.Sum(demo),
            learningInBackTestWorld = PlanScore.Sum(trial),
        });
        return ExitCode.Good;
    }

    private static void Play(ValueList<KitItem> kit, ulong seed, Dictionary<KitId, List<PlayedBank>> played)
    {
        var world = new EnergyWorld(kit, seed, seed);
        foreach (Bank bank in kit.OfType<Bank>().Where(bank => played.ContainsKey(bank.Id)))
        {
            played[bank.Id].Add(PlayedBank.Of(world, bank));
        }
    }

    internal static Instant End(EnergyWorld world) => world.Scene.At(world.Scene.Trip.LastDay.PlusDays(1), 0);
}
