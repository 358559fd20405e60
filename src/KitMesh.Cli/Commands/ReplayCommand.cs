using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Domain.Time;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Hindsight;
using KitMesh.Outlook.Advice;
using KitMesh.Outlook.Charging;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Footage;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh replay</c>: what a hub knew and advised at a moment.</summary>
internal sealed class ReplayCommand : ICommandFile
{
    private readonly Argument<DirectoryInfo> _data = new("data") { Description = "The data folder of a hub that is stopped.", HelpName = "folder" };
    private readonly Option<int> _paths = OptionKit.Number("--paths", "Paths of the energy outlook.", 1_000, 1_000_000, 10_000);
    private readonly Option<ulong> _seed = OptionKit.Number<ulong>("--seed", "Seed of the paths; the hub's own to repeat its answer.", 1, ulong.MaxValue, 1);
    private readonly Option<Instant> _at = new("--at")
    {
        Description = "The moment in UTC, such as 2027-02-14T18:30Z: only what had arrived by then, by the hub's clock, counts. Required.",
        Required = true,
        HelpName = "time",
        CustomParser = ReadTime,
    };

    public Command Build(Surroundings surroundings) =>
        new Command("replay", "What a hub knew and advised at a moment, from its data folder: for the debrief.")
        {
            _data, _at, _paths, _seed,
        }.Runs(surroundings, Run);

    private ExitCode Run(CommandRun run)
    {
        Instant at = run.Get(_at);
        using DataFolder data = DataFolder.Open(run, run.Get(_data));
        StateEngine engine = data.Fold(run.Stop, at);
        TripState state = engine.State;
        KitItem[] kit = [.. state.Kit];
        var footage = new FootageLedger();
        var readings = new List<TimedReading>();
        foreach (ContentReport entry in data.Reports(at))
        {
            TimedReport timed = engine.Retiming.Time(entry.Report);
            footage.Add(timed);
            if (timed.Report.Body is BatteryReading or TemperatureReading or PanelReading or LoadReading)
            {
                readings.Add(new TimedReading(timed.Time, timed.Report.Body));
            }
        }

        Trip[] trips = [.. kit.OfType<Trip>()];
        var question = new EnergyQuestion(at, kit.ToValueList(), readings.ToValueList(), [], run.Get(_seed), run.Get(_paths));
        EnergyOutlook? energy = trips.Length == 1 && kit.OfType<Bank>().Any()
            ? EnergyForecaster.Answer(question)
            : null;
        ChargingPlan? charging = energy is null ? null : ChargingPlanner.Plan(new ChargingQuestion(question, energy, ChargingPlanner.NextMorning(at, trips[0].ZoneOffset)));
        ValueList<Alert> alerts = AlertHindsight.Of(() => data.Known(at), trips.Length == 1 ? trips[0].FirstDay.PlusDays(-1).AtMidnight().WithOffset(trips[0].ZoneOffset).ToInstant() : at - Duration.FromDays(60), at, run.Stop).Standing;
        LedgerSnapshot ledger = footage.Now(at);
        FootageOutlook? room = trips.Length == 1 ? FootageOutlooks.Answer(new FootageOutlookQuestion(ledger.Holdings())) : null;
        AdviceList advice = AdviceDesk.Advise(new AdviceQuestion(at, energy, charging, ledger.View(new LedgerQuery(Limit: 0)), room, alerts)
        {
            Zone = trips.Length == 1 ? trips[0].ZoneOffset : Offset.Zero,
        });
        Show(run, at, state, new Known(energy, charging, room, ledger, alerts, advice), trips.Length == 1 ? trips[0].ZoneOffset : Offset.Zero);
        return ExitCode.Good;
    }

    private sealed record Known(EnergyOutlook? Energy, ChargingPlan? Charging, FootageOutlook? Footage, LedgerSnapshot Ledger, ValueList<Alert> Alerts, AdviceList Advice);

    private static void Show(CommandRun run, Instant at, TripState state, Known known, Offset zone)
    {
        long reports = state.Counts.Values.Sum();
        string fingerprint = StateFingerprint.Of(state).ToString();
        if (run.Json)
        {
            run.Out.Json(new
            {
                at, reports, stateFingerprint = fingerprint, energy = known.Energy, charging = known.Charging, footage = known.Footage, cards = known.Ledger.Cards, alerts = known.Alerts, advice = known.Advice,
            });
            return;
        }

        run.Out.Heading(string.Create(CultureInfo.InvariantCulture, $"At {InstantPattern.General.Format(at)} the hub held {reports} reports"));
        foreach (BankOutlook bank in known.Energy?.Banks ?? [])
        {
            run.Out.Line(string.Create(
                CultureInfo.InvariantCulture,
                $"  {bank.Bank}: {bank.Charge.Best.Value * 100:0} % ({bank.Charge.From}), short by the last day {bank.ShortByLastDay.Best.Value * 100:0.#} %"));
        }

        Section(run, "Alerts that stood", known.Alerts.Select(alert => $"{alert.Subject}: {alert.What} Since {CrewTime.Show(alert.Since, zone)}. {alert.Do}".TrimEnd()));
        Section(run, "Charging as advised", known.Charging is { } charging ? ChargingWords.Of(charging.Steps, zone).Concat(charging.LeftOut.Select(left => left.Words)).Concat(charging.Cautions) : []);
        Section(run, "Cards", known.Ledger.Cards.Select(card => $"{card.Card}: {card.Reason}"));
        Section(run, "Advice", known.Advice.Items.Select(line => $"{line.What}: {line.Reason}"));
    }

    private static void Section(CommandRun run, string title, IEnumerable<string> lines)
    {
        run.Out.Line($"{title}:");
        foreach (string line in lines.DefaultIfEmpty("none"))
        {
            run.Out.Line($"  {line}");
        }
    }

    private static Instant ReadTime(ArgumentResult result)
    {
        string text = result.Tokens.Count > 0 ? result.Tokens[^1].Value : "";
        foreach (InstantPattern pattern in new[] { InstantPattern.General, InstantPattern.ExtendedIso, InstantPattern.CreateWithInvariantCulture("uuuu'-'MM'-'dd'T'HH':'mm'Z'") })
        {
            NodaTime.Text.ParseResult<Instant> read = pattern.Parse(text);
            if (read.Success)
            {
                return read.Value;
            }
        }

        result.AddError($"--at takes a moment in UTC such as 2027-02-14T18:30Z, not \"{text}\".");
        return default;
    }
}
