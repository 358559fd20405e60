using System.CommandLine;
using System.Text;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Export.Account;
using KitMesh.Export.Page;
using KitMesh.Hub.Hindsight;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh report</c>: what happened on a day, to a team or on the whole trip, as one HTML file.</summary>
internal sealed class ReportCommand : ICommandFile
{
    private const int MostDays = 400;

    private readonly Argument<DirectoryInfo?> _data = new("data")
    {
        Description = "The data folder of a hub that is stopped. Without it: the running hub at --hub is asked.",
        HelpName = "folder",
        Arity = ArgumentArity.ZeroOrOne,
    };

    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<string?> _day = OptionKit.Text("--day", "Only this day of the crew, such as 2027-02-14. Without it: the trip.");
    private readonly Option<string?> _from = OptionKit.Text("--from", "First day. Without it: the trip's.");
    private readonly Option<string?> _until = OptionKit.Text("--until", "Last day. Without it: the trip's, or that of the newest report.");
    private readonly Option<string?> _team = OptionKit.Text("--team", "Only this team. Without it: all.");
    private readonly Option<string?> _to = OptionKit.Text("--to", "The HTML file to write; an existing one is replaced. Without it: stdout.");
    private readonly Option<int> _paths = OptionKit.Number("--paths", "Paths of each morning's forecast; 0 leaves forecasts out.", 0, 100_000, 1_000);

    public Command Build(Surroundings surroundings) =>
        new Command("report", "What happened on a day, to a team or on the trip: one self-contained HTML file that prints well.")
        {
            _data, _hub, _day, _from, _until, _team, _to, _paths,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        if (run.Get(_data) is not null && run.IsGiven(_hub))
        {
            throw CommandFault.BadInput("A folder and --hub are two different sources.", "Name one of them.");
        }

        if (run.Get(_to) is { } early && Directory.Exists(early))
        {
            throw CommandFault.BadInput($"{early} is a folder.", "Name a file, such as report.html.");
        }

        using HeldReports held = await HeldReports.OpenAsync(run, run.Get(_data), run.Get(_hub));
        Trip trip = held.OneTrip();
        TripState state = held.Engine.State;
        var feed = new AccountFeed();
        foreach (ContentReport entry in held.All)
        {
            run.Stop.ThrowIfCancellationRequested();
            feed.Add(held.Engine.Retiming.Time(entry.Report));
        }

        AccountScope scope = Scope(run, trip, state, feed.Newest);
        IReadOnlyList<KnownReport> known = held.ByTime();
        AlertHindsight hindsight = AlertHindsight.Of(() => known, Midnight(trip, trip.FirstDay.PlusDays(-1)), Instant.Min(feed.Newest, Midnight(trip, trip.LastDay.PlusDays(2))), run.Stop);
        TripAccount account = TripAccounts.Of(feed, state, scope, run.Get(_paths), [.. hindsight.Past.Select(past => new HubAlert(past.Alert.Rule, past.Alert.Subject, past.Alert.Since, past.Until, past.Alert.What))]);
        await WriteAsync(run, account);
        return ExitCode.Good;
    }

    private static Instant Midnight(Trip trip, LocalDate day) => day.AtMidnight().WithOffset(trip.ZoneOffset).ToInstant();

    private async Task WriteAsync(CommandRun run, TripAccount account)
    {
        if (run.Get(_to) is { } file)
        {
            await File.WriteAllTextAsync(file, AccountPage.Of(account), new UTF8Encoding(false), run.Stop);
            run.Talk.Say($"{file}: written. Open it in any browser, or print it.");
        }
        else if (!run.Json)
        {
            run.Out.Line(AccountPage.Of(account));
        }

        if (run.Json)
        {
            run.Out.Json(account);
        }
    }

    private AccountScope Scope(CommandRun run, Trip trip, TripState state, Instant newest)
    {
        LocalDate? day = Day(run, _day);
        LocalDate? first = Day(run, _from);
        LocalDate? last = Day(run, _until);
        if (day is not null && (first is not null || last is not null))
        {
            throw CommandFault.BadInput("--day goes without --from and --until.");
        }

        // A trip that still runs is told up to its newest report: empty days to come would only be paper.
        LocalDate heard = newest.WithOffset(trip.ZoneOffset).Date;
        LocalDate end = heard >= trip.FirstDay && heard < trip.LastDay ? heard : trip.LastDay;
        LocalDate from = day ?? first ?? LocalDate.Min(trip.FirstDay, last ?? trip.FirstDay);
        LocalDate to = day ?? last ?? LocalDate.Max(end, from);
        if (to < from)
        {
            throw CommandFault.BadInput($"The days are out of order: {LocalDatePattern.Iso.Format(from)} is after {LocalDatePattern.Iso.Format(to)}.", "Exchange --from and --until.");
        }

        if (Period.DaysBetween(from, to) >= MostDays)
        {
            throw CommandFault.BadInput($"That is more than {MostDays} days.", "Name fewer with --from and --until.");
        }

        KitId? team = run.Get(_team) is { } name
            ? state.KitOf<Team>().FirstOrDefault(known => known.Id.Value == name)?.Id
                ?? throw CommandFault.BadInput($"No team is called \"{name}\".", $"There are: {string.Join(", ", state.KitOf<Team>().Select(known => known.Id.Value))}.")
            : null;
        return new AccountScope(from, to, team);
    }

    private static LocalDate? Day(CommandRun run, Option<string?> option) => run.Get(option) is not { } text
        ? null
        : LocalDatePattern.Iso.Parse(text) is { Success: true, Value: var day } ? day : throw CommandFault.BadInput($"{option.Name}: \"{text}\" is no day like 2027-02-14.");
}
