using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Commands.Keeping;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;
using KitDeclared = KitMesh.Domain.Reports.KitDeclared;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh forecast</c>: somebody types in what the weather of a day will be.</summary>
internal sealed class ForecastCommand : ICommandFile
{
    private readonly Option<string> _place = OptionKit.TextRequired("--place", "The place, as the trip file calls it.");
    private readonly Option<string> _day = OptionKit.TextRequired("--day", "The crew's day, such as 2027-02-14.");
    private readonly Option<double> _sky = OptionKit.NumberRequired("--sky", "Share of the clear-sky energy that is expected: 1 cloudless, 0.2 dark clouds.", 0.0, 1.0);
    private readonly Option<double> _night = OptionKit.Number("--night", "Expected lowest temperature in °C. Without it: the place's.", -70.0, 45.0, 0.0);
    private readonly Option<double> _high = OptionKit.Number("--noon", "Expected highest temperature in °C. Without it: the place's.", -60.0, 55.0, 0.0);
    private readonly Option<double> _trust = OptionKit.Number("--trust", "How far it counts against climate and the days before: 0 not at all, 1 wholly.", 0.0, 1.0, 0.6);
    private readonly Option<bool> _withdraw = OptionKit.Switch("--withdraw", "Take back what was said for this place and day.");
    private readonly KeeperOptions _keeper = new();

    public Command Build(Surroundings surroundings) =>
        new Command("forecast", "Type in a weather forecast, one place and day at a time; the energy outlook takes it in with its trust.")
        {
            _place, _day, _sky, _night, _high, _trust, _withdraw, _keeper.Node, _keeper.Hub,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        WeatherLine line = Line(run);
        bool withdrawn = run.Get(_withdraw);
        using var hub = new HubClient(run.Get(_keeper.Hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        if (!withdrawn)
        {
            DeclaredPlaces.Require(line.Place, await DeclaredPlaces.OfAsync(hub));
        }

        IReadOnlyList<string> remarks = await new ReportPen(hub, run.Surroundings, _keeper.NodeOf(run)).WriteAsync(new KitDeclared(line, withdrawn));
        string day = LocalDatePattern.Iso.Format(line.Day);
        if (run.Json)
        {
            run.Out.Json(new
            {
                kind = "forecast", place = line.Place, day, sky = line.ClearSkyShare, night = line.Night?.Value, noon = line.DayTime?.Value, trust = line.Trust, withdrawn, remarks,
            });
            return ExitCode.Good;
        }

        string temperatures = $"{Told("night", line.Night)}{Told("noon", line.DayTime)}";
        run.Out.Line(withdrawn
            ? $"{line.Place} {day}: taken back."
            : string.Create(CultureInfo.InvariantCulture, $"{line.Place} {day}: sky {line.ClearSkyShare:0.##}{temperatures}, trust {line.Trust:0.##}: written. Look at kitmesh outlook."));
        foreach (string remark in remarks)
        {
            run.Out.Line($"Note: {remark}");
        }

        return ExitCode.Good;
    }

    private WeatherLine Line(CommandRun run)
    {
        KitId place = KeeperOptions.Name(run.Get(_place), "--place");
        if (place.Value.Length > WeatherLine.MaxPlaceLength)
        {
            throw CommandFault.BadInput($"--place: the name is too long for a forecast.", $"At most {WeatherLine.MaxPlaceLength} characters.");
        }

        if (LocalDatePattern.Iso.Parse(run.Get(_day)) is not { Success: true, Value: var day })
        {
            throw CommandFault.BadInput($"--day: \"{run.Get(_day)}\" is no day like 2027-02-14.");
        }

        Celsius? night = run.IsGiven(_night) ? new Celsius(run.Get(_night)) : null;
        Celsius? high = run.IsGiven(_high) ? new Celsius(run.Get(_high)) : null;
        return night?.Value > high?.Value
            ? throw CommandFault.BadInput("The night would be warmer than noon.", "Exchange --night and --noon, or look for a lost minus.")
            : new WeatherLine(place, day, run.Get(_sky), night, high, run.Get(_trust), Said: true);
    }

    private static string Told(string what, Celsius? temperature) =>
        temperature is { } told ? string.Create(CultureInfo.InvariantCulture, $", {what} {told.Value:0.#} °C") : "";
}
