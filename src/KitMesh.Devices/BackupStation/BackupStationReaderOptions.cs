using KitMesh.Devices.Options;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Engine;
using KitMesh.Offload.Hashing;
using KitMesh.Offload.Names;

namespace KitMesh.Devices.BackupStation;

/// <summary>What the agent file says of a station.</summary>
/// <param name="Cards">Known cards and where they appear.</param>
/// <param name="Watch">Folders under which unknown cards appear, each as a folder with DCIM in it.</param>
/// <param name="Drives">Drives that copies go to.</param>
/// <param name="Interval">Time between two looks, by machine time. 100 ms to 1 h; default 5 s.</param>
/// <param name="Settle">How long a card must stay as it is before it is read, by machine time. 0 to 10 min; default 3 s.</param>
/// <param name="Retry">Time before a card with failures is tried again, by machine time. 1 s to 24 h; default 10 min.</param>
/// <param name="DriveStateEvery">Time between two reports of each drive, by world time. 1 s to 7 d; default 15 min.</param>
/// <param name="Template">Where files go on drives. Default: day, source, card, path.</param>
/// <param name="Hashes">Hashes beside XXH3-128. Default: none.</param>
/// <param name="Order">When copies are read back. Default: automatic.</param>
/// <param name="Altitude">Where the station stands; null when not told.</param>
/// <param name="HumidityPercent">Relative humidity of that air, for condensation. 1 to 100 %; default 80.</param>
/// <param name="Protect">Make a card's mount read-only first, where it is a mount and the agent may. Default: yes.</param>
/// <param name="TemperatureFile">File with the air's temperature beside the drives in thousandths of a degree, as hwmon writes it; null for none.</param>
internal sealed record BackupStationReaderOptions(
    IReadOnlyList<CardPlace> Cards,
    IReadOnlyList<string> Watch,
    IReadOnlyList<DrivePlace> Drives,
    TimeSpan Interval,
    TimeSpan Settle,
    TimeSpan Retry,
    TimeSpan DriveStateEvery,
    PathTemplate Template,
    IReadOnlyList<HashKind> Hashes,
    ReadBackOrder Order,
    Metres? Altitude,
    double HumidityPercent,
    bool Protect,
    string? TemperatureFile)
{
    /// <summary>Whose power reports are the station's draw; null: nothing is measured.</summary>
    public StationPowerOptions? Power { get; init; }

    /// <summary>How long a card or drive may leave one call unanswered before the station goes on without it, by machine time. 1 s to 1 h; default 4 min.</summary>
    public TimeSpan Patience { get; init; } = OffloadRequest.UsualPatience;

    /// <summary>When copies are read again; null: never by itself.</summary>
    public StationRecheckOptions? Recheck { get; init; }

    private static readonly Dictionary<string, ReadBackOrder> Orders = new(StringComparer.Ordinal)
    {
        ["automatic"] = ReadBackOrder.Automatic,
        ["overlapping"] = ReadBackOrder.Overlapping,
        ["alternating"] = ReadBackOrder.Alternating,
    };

    /// <summary>Reads the options; problems go to the map.</summary>
    /// <param name="map">The reader's part of the agent file.</param>
    public static BackupStationReaderOptions Read(OptionMap map)
    {
        List<CardPlace> cards = [.. map.Children("cards").Select(Card)];
        List<DrivePlace> drives = [.. map.Children("drives").Select(Drive)];
        IReadOnlyList<string> watch = [.. map.Texts("watch").Select(path => FromFile(map, path))];
        if (cards.Count + watch.Count == 0)
        {
            map.AddProblem("cards", "The station has no place to look for cards.", "Add \"cards:\" with name and folder, or \"watch:\" with a folder under which cards are mounted.");
        }

        if (drives.Count is 0 or > OffloadRequest.MaxDrives)
        {
            map.AddProblem("drives", "A station copies to 1 to 16 drives.", "Add \"drives:\" with name and folder of each.");
        }

        foreach (IGrouping<KitId, DrivePlace> twice in drives.GroupBy(drive => drive.Drive).Where(group => group.Count() > 1))
        {
            map.AddProblem("drives", $"Two drives are called \"{twice.Key}\".", "Give each drive a name of its own: two copies on one drive are one copy.");
        }

        return new(
            cards,
            watch,
            drives,
            map.Time("interval", TimeSpan.FromMilliseconds(100), TimeSpan.FromHours(1), TimeSpan.FromSeconds(5)),
            map.Time("settle", TimeSpan.Zero, TimeSpan.FromMinutes(10), TimeSpan.FromSeconds(3)),
            map.Time("retry", TimeSpan.FromSeconds(1), TimeSpan.FromHours(24), TimeSpan.FromMinutes(10)),
            map.Time("driveStateEvery", TimeSpan.FromSeconds(1), TimeSpan.FromDays(7), TimeSpan.FromMinutes(15)),
            ReadTemplate(map),
            [.. map.Texts("hashes").Select(name => Hash(map, name)).OfType<HashKind>()],
            map.Choice("readBack", Orders, "automatic"),
            map.Has("altitude") ? new Metres(map.Number("altitude", "m", -500, 9000, null)) : null,
            map.Number("humidity", "%", 1, 100, Condensation.UnknownHumidityPercent),
            map.Flag("protect", true),
            map.OptionalText("temperatureFile"))
        {
            Patience = map.Time("patience", TimeSpan.FromSeconds(1), TimeSpan.FromHours(1), OffloadRequest.UsualPatience),
            Power = StationPowerOptions.Read(map),
            Recheck = StationRecheckOptions.Read(map),
        };
    }

    private static CardPlace Card(OptionMap map)
    {
        var card = new CardPlace(
            map.Kit("name", "the card's name, as in the trip file"),
            map.OptionalKit("source"),
            FromFile(map, map.Text("folder", "where the card appears")));
        map.RefuseUnknownKeys();
        return card;
    }

    private static DrivePlace Drive(OptionMap map)
    {
        var drive = new DrivePlace(
            map.Kit("name", "the drive's name, as in the trip file"),
            FromFile(map, map.Text("folder", "where the drive appears")),
            map.Flag("prepare", false),
            map.Has("maxAltitude") ? new Metres(map.Number("maxAltitude", "m", 0, 20_000, null)) : null,
            map.Has("minTemperature") ? new Celsius(map.Number("minTemperature", "°C", -60, 60, null)) : null,
            map.Flag("unplugCutsPower", false));
        map.RefuseUnknownKeys();
        return drive;
    }

    private static string FromFile(OptionMap map, string path) =>
        path.Length == 0 ? path : Path.GetFullPath(path, Path.GetDirectoryName(Path.GetFullPath(map.File)) ?? "/");

    private static PathTemplate ReadTemplate(OptionMap map)
    {
        PathTemplate template = PathTemplate.Default;
        if (map.OptionalText("template") is { } text && PathTemplate.TryParse(text, out template) is { } wrong)
        {
            map.AddProblem("template", $"\"{text}\": {wrong}.", $"Without the key: {PathTemplate.Standard}.");
        }

        return template;
    }

    private static HashKind? Hash(OptionMap map, string name)
    {
        if (HashNames.TryParse(name, out HashKind kind))
        {
            return kind;
        }

        map.AddProblem("hashes", $"\"{name}\" is no hash.", $"Write some of {string.Join(", ", HashNames.Names)}.");
        return null;
    }
}
