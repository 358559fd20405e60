using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Outlook.Plan;
using KitMesh.TripFile;

namespace KitMesh.Cli.Commands.Bench;

// Problem: how long a plan takes and the search for the lightest kit among a million combinations. Method: the file's own plan; then the first bank that has packs and panels
// gets three sizes of pack and three of panel that may be taken up to nine times each, which is 10^6 combinations.

/// <summary><c>kitmesh bench search</c>: times a plan and the search for the lightest kit.</summary>
internal sealed class SearchBench : ICommandFile
{
    private static readonly double[] Sizes = [1, 0.6, 0.3];

    private readonly Argument<string> _trip = new("trip") { Description = "The trip file (YAML).", HelpName = "file" };
    private readonly Option<int> _paths = OptionKit.Number("--paths", "Paths of the plan.", 1_000, 1_000_000, 10_000);

    public Command Build(Surroundings surroundings) =>
        new Command("search", "Time the plan of a trip file and the search for the lightest kit among a million combinations.") { _trip, _paths }.Runs(surroundings, Run);

    private ExitCode Run(CommandRun run)
    {
        TripRead trip = TripText.Check(run, run.Get(_trip))!;
        TimeProvider machine = run.Surroundings.Machine;
        long began = machine.GetTimestamp();
        TripPlan plan = TripPlanner.Answer(new PlanQuestion(trip.Items, trip.Extras, Seed: 1, Paths: run.Get(_paths)));
        double planSeconds = machine.GetElapsedTime(began).TotalSeconds;
        PlanQuestion wide = Widened(trip.Items);
        began = machine.GetTimestamp();
        LightestKit lightest = LightestKits.Find(wide);
        run.Out.Json(new
        {
            bench = "search",
            trip = plan.Trip,
            days = plan.Days,
            banks = plan.Energy.Banks.Count,
            paths = run.Get(_paths),
            planSeconds,
            combinations = lightest.Combinations,
            outlooks = lightest.Outlooks,
            searchSeconds = machine.GetElapsedTime(began).TotalSeconds,
            isProven = lightest.Groups.All(group => group.IsProven),
            mass = lightest.Mass,
        });
        return ExitCode.Good;
    }

    private static PlanQuestion Widened(ValueList<KitItem> items)
    {
        Bank bank = items.OfType<Bank>().FirstOrDefault(one => items.OfType<Pack>().Any(pack => pack.Bank == one.Id) && items.OfType<Panel>().Any(panel => panel.Bank == one.Id))
            ?? throw CommandFault.BadInput("No bank of this file has a pack and a panel.");
        Pack pack = items.OfType<Pack>().First(one => one.Bank == bank.Id);
        Panel panel = items.OfType<Panel>().First(one => one.Bank == bank.Id);
        var choices = new List<KitChoice>();
        var more = new List<KitItem>();
        for (int i = 0; i < Sizes.Length; i++)
        {
            // A smaller one weighs a little more than its share.
            double mass = Math.Pow(Sizes[i], 0.93);
            Pack sized = pack with { Id = Named("pack", i), Capacity = pack.Capacity * Sizes[i], Resistance = pack.Resistance is { } ohms ? new Ohms(ohms.Value / Sizes[i]) : null };
            Panel standing = panel with { Id = Named("panel", i), Rated = panel.Rated * Sizes[i] };
            more.AddRange([sized, standing]);
            choices.Add(new KitChoice(KitKind.Pack, sized.Id, 0, 9, new Kilograms((pack.Mass?.Value ?? 10) * mass)));
            choices.Add(new KitChoice(KitKind.Panel, standing.Id, 0, 9, new Kilograms((panel.Mass?.Value ?? 4) * mass)));
        }

        ValueList<KitItem> kit = items.Where(item => item is not Pack one || one.Bank != bank.Id).Where(item => item is not Panel one || one.Bank != bank.Id).Concat(more).ToValueList();
        return new PlanQuestion(kit, new PlanExtras([], choices.ToValueList()));
    }

    private static KitId Named(string kind, int number) => KitId.Parse(string.Create(CultureInfo.InvariantCulture, $"bench {kind} {number + 1}"));
}
