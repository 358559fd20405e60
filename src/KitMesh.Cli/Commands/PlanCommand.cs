using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Planning;
using KitMesh.Cli.Running;
using KitMesh.Domain.Kit;
using KitMesh.Outlook.Plan;
using KitMesh.TripFile;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh plan</c>: will this kit last, before the trip.</summary>
internal sealed class PlanCommand : ICommandFile
{
    private readonly Argument<string> _trip = new("trip") { Description = "The trip file (YAML).", HelpName = "file" };
    private readonly Option<string?> _against = OptionKit.Text("--against", "Another trip file to compare with, side by side.");
    private readonly Option<string?> _kit = OptionKit.Text("--kit", "A file that kitmesh learn wrote: what earlier trips taught stands in for what the trip file declares.");
    private readonly Option<bool> _lightest = OptionKit.Switch("--lightest", "Find the lightest kit among the file's choices that keeps each chance below the limit.");
    private readonly Option<bool> _log = OptionKit.Switch("--blank-log", "Print a log sheet to take along and type in later, and nothing else.");
    private readonly Option<double> _limit = OptionKit.Number("--limit", "The chance in percent of running short, or of finding no room, that is still good enough.", 0.1, 50.0, 5.0);
    private readonly Option<int> _paths = OptionKit.Number("--paths", "Paths of the outlook.", 1_000, 1_000_000, 10_000);
    private readonly Option<ulong> _seed = OptionKit.Number<ulong>("--seed", "Seed of the paths.", 1, ulong.MaxValue, 1);

    public Command Build(Surroundings surroundings) =>
        new Command("plan", "Before the trip: will this kit last for these people at this place and month. Exit code 1 when a chance is past the limit.")
        {
            _trip, _against, _kit, _lightest, _log, _limit, _paths, _seed,
        }.Runs(surroundings, Run);

    private ExitCode Run(CommandRun run)
    {
        TripRead trip = TripText.Check(run, run.Get(_trip))!;
        if (run.Get(_log))
        {
            if (run.Json || run.Get(_lightest) || run.IsGiven(_against) || run.IsGiven(_kit))
            {
                throw CommandFault.BadInput("--blank-log prints a sheet of paper and goes with no other option.");
            }

            BlankLog.Draw(run.Out, trip.Items);
            return ExitCode.Good;
        }

        PlanQuestion question = Question(run, trip);
        TripPlan plan = TripPlanner.Answer(question);
        TripPlan? other = run.Get(_against) is { } file ? TripPlanner.Answer(Question(run, TripText.Check(run, file)!)) : null;
        LightestKit? lightest = null;
        if (run.Get(_lightest))
        {
            lightest = trip.Extras.Choices.Count == 0
                ? throw CommandFault.BadInput($"{run.Get(_trip)} has no choices to search.", "Add a section \"choices:\" (docs/trip-file.md).")
                : LightestKits.Find(question);
        }

        if (run.Json)
        {
            run.Out.Json(new { plan, against = other, lightest });
        }
        else
        {
            PlanDrawing.Draw(run.Out, plan, other);
            if (lightest is not null)
            {
                LightestDrawing.Draw(run.Out, lightest);
            }
        }

        return plan.BadNews || lightest is { Mass: null } ? ExitCode.BadNews : ExitCode.Good;
    }

    private PlanQuestion Question(CommandRun run, TripRead trip)
    {
        Trip declared = trip.Items.OfType<Trip>().Single();
        int days = NodaTime.Period.DaysBetween(declared.FirstDay, declared.LastDay) + 1;
        if (days is < 1 or > 400)
        {
            throw CommandFault.BadInput(string.Create(CultureInfo.InvariantCulture, $"\"{declared.Id}\" has {days} days; a plan is for 1 to 400."), "Look at firstDay and lastDay.");
        }

        var question = new PlanQuestion(trip.Items, trip.Extras, run.Get(_limit) / 100, run.Get(_seed), run.Get(_paths));
        return run.Get(_kit) is { } file ? question.With(LearntText.Read(run, file)) : question;
    }
}
