using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;

namespace KitMesh.Cli.Commands.Offloading;

/// <summary>Options that tell where drives lie, and the refusal to start one that may be harmed by it.</summary>
internal sealed class DriveWeather
{
    private readonly Option<double?> _altitude = Told("--altitude", "Metres above the sea where this runs, -500 to 9000; drives past their limit are not started. Default: not told.", "m", -500, 9000);
    private readonly Option<double?> _air = Told("--air", "Temperature of the air beside the drives, -60 to 60 °C; too cold or wet drives are not started. Default: not told.", "°C", -60, 60);
    private readonly Option<double> _humidity = OptionKit.Number("--humidity", "Relative humidity of that air, in percent.", 1.0, 100.0, Condensation.UnknownHumidityPercent);
    private readonly Option<double?> _highest = Told("--max-altitude", "Highest place where the drives may run, by the maker's sheet, 0 to 20000 m. Default: 3050 m for drives that say they spin, else no limit.", "m", 0, 20_000);
    private readonly Option<double?> _least = Told("--min-temperature", "Least temperature at which the drives may run, by the maker's sheet, -60 to 60 °C. Default: 5 °C for drives that say they spin, else no limit.", "°C", -60, 60);

    /// <summary>The options.</summary>
    public IReadOnlyList<Option> Options => [_altitude, _air, _humidity, _highest, _least];

    /// <summary>Refuses when a drive may not be started here.</summary>
    /// <param name="run">The run.</param>
    /// <param name="roots">Where the drives are mounted.</param>
    public void Check(CommandRun run, IReadOnlyList<string> roots)
    {
        var around = new DriveSurroundings(Metres(run.Get(_altitude)), Celsius(run.Get(_air)), run.Get(_humidity));
        if (around.Altitude is null && around.Air is null)
        {
            return;
        }

        List<string> reasons = [.. roots.Where(Directory.Exists).Select(root => WhyNot(run, root, around)).OfType<string>()];
        if (reasons.Count > 0)
        {
            throw CommandFault.BadInput(string.Join("\n         ", reasons), "Nothing was written. Limits are the maker's: see --max-altitude and --min-temperature.");
        }
    }

    private string? WhyNot(CommandRun run, string root, DriveSurroundings around)
    {
        string full = Path.GetFullPath(root);
        bool spins = MountTable.Of(full)?.Spins() == true;
        var limits = new DriveLimits(
            Metres(run.Get(_highest)) ?? (spins ? DriveLimits.Spinning.MaxAltitude : null),
            Celsius(run.Get(_least)) ?? (spins ? DriveLimits.Spinning.MinTemperature : null));
        KitId drive = DriveGlance.At(full)?.Drive ?? (KitId.TryParse(RawName.Shown(Path.GetFileName(Path.TrimEndingDirectorySeparator(full))), out KitId named) ? named : KitId.Parse("drive"));
        return limits.WhyNotNow(drive, around, around.Air is null ? null : DriveHealthProbe.Ask(full).Temperature);
    }

    private static Metres? Metres(double? value) => value is { } metres ? new Metres(metres) : null;

    private static Celsius? Celsius(double? value) => value is { } degrees ? new Celsius(degrees) : null;

    private static Option<double?> Told(string name, string description, string unit, double least, double most)
    {
        var option = new Option<double?>(name) { Description = description, HelpName = unit };
        option.CustomParser = result =>
        {
            string text = result.Tokens.Count > 0 ? result.Tokens[^1].Value : "";
            if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && value >= least && value <= most)
            {
                return value;
            }

            result.AddError(string.Create(CultureInfo.InvariantCulture, $"{name} takes a number from {least} to {most}, not \"{text}\"."));
            return null;
        };
        return option;
    }
}
