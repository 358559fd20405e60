using KitMesh.Devices;
using KitMesh.Devices.Options;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Agent.Options;

/// <summary>Reads and checks the agent file (YAML). Relative paths in it count from the file's own folder.</summary>
public static class AgentFile
{
    private static readonly Dictionary<string, Chemistry> Chemistries = new(StringComparer.Ordinal)
    {
        ["nmc"] = Chemistry.Nmc,
        ["lco"] = Chemistry.Lco,
        ["lfp"] = Chemistry.Lfp,
        ["nimh"] = Chemistry.NiMh,
        ["lead-acid"] = Chemistry.LeadAcid,
        ["unknown"] = Chemistry.Unknown,
    };

    /// <summary>Reads an agent file's text.</summary>
    /// <param name="file">Its path, for messages and as the base of relative paths.</param>
    /// <param name="text">Its text.</param>
    /// <param name="kinds">The kinds of reader that may be named.</param>
    /// <param name="problems">Collects everything that is wrong.</param>
    /// <returns>The options; null when there is any problem.</returns>
    public static AgentOptions? Parse(string file, string text, IReadOnlyList<IReaderKind> kinds, List<OptionProblem> problems)
    {
        if (OptionMap.Parse(file, text, problems) is not { } map)
        {
            return null;
        }

        NodeId node = Node(map);
        string data = map.FilePath("data", "the folder for the journal");
        string? identity = map.Has("identity") ? map.FilePath("identity", "the folder that kitmesh enrol filled") : null;
        IReadOnlyList<Uri> hubs = Hubs(map, identity is not null);
        TimeSpan stateEvery = map.Time("stateEvery", TimeSpan.FromMilliseconds(100), TimeSpan.FromHours(24), TimeSpan.FromMinutes(15));
        TimeSpan sendWait = map.Time("sendWait", TimeSpan.Zero, TimeSpan.FromHours(1), TimeSpan.FromSeconds(5));
        TimeSpan linger = map.Time("linger", TimeSpan.Zero, TimeSpan.FromHours(1), TimeSpan.FromSeconds(20));
        TimeSpan keep = map.Time("keepAcknowledged", TimeSpan.Zero, TimeSpan.FromDays(60), TimeSpan.FromDays(3));
        int queue = map.Whole("queue", 16, 100_000, 1024);
        KitId? self = map.OptionalKit("self");
        DeadbandOptions deadbands = Deadbands(map.Child("deadbands"));
        List<Pack> packs = [.. map.Children("packs").Select(GuardedPack)];
        List<ReaderOptions> readers = Readers(map, kinds);
        map.RefuseUnknownKeys();
        return problems.Count > 0
            ? null
            : new(node, data, hubs, stateEvery, sendWait, linger, keep, queue, self, deadbands, packs, readers) { IdentityFolder = identity };
    }

    private static NodeId Node(OptionMap map)
    {
        string text = map.Text("node", "the agent's name in the mesh");
        if (!NodeId.TryParse(text, out NodeId node) && text.Length > 0)
        {
            map.AddProblem("node", $"\"{text}\" is no node name.", "Use 1 to 63 characters of a-z, 0-9 and inner hyphens.");
        }

        return node;
    }

    private static List<Uri> Hubs(OptionMap map, bool isEnrolled)
    {
        var hubs = new List<Uri>();
        foreach (string text in map.Texts("hubs"))
        {
            if (!Uri.TryCreate(text, UriKind.Absolute, out Uri? uri) || uri.Scheme is not ("http" or "https"))
            {
                map.AddProblem("hubs", $"\"{text}\" is no address of a hub.", "Write it like https://192.168.4.1:7433, or http://127.0.0.1:7433 on the hub's own machine.");
            }
            else if (uri.Scheme == Uri.UriSchemeHttp && !uri.IsLoopback)
            {
                map.AddProblem("hubs", $"\"{text}\" is not this machine, and http tells nobody who they are.", "Write https, and enrol this device (docs/enrolment.md).");
            }
            else if (uri.Scheme == Uri.UriSchemeHttps && !isEnrolled)
            {
                map.AddProblem("hubs", $"\"{text}\" answers enrolled devices only.", "Enrol this device with kitmesh enrol, and name the folder as identity (docs/enrolment.md).");
            }
            else
            {
                hubs.Add(uri);
            }
        }

        return hubs;
    }

    private static DeadbandOptions Deadbands(OptionMap? map)
    {
        DeadbandOptions d = DeadbandOptions.Default;
        if (map is null)
        {
            return d;
        }

        DeadbandOptions read = new(
            new Volts(map.Number("volts", "V", 0, 10, d.Volts.Value)),
            new Amperes(map.Number("amperes", "A", 0, 100, d.Amperes.Value)),
            new Watts(map.Number("watts", "W", 0, 1000, d.Watts.Value)),
            map.Number("charge", "%", 0, 20, d.Charge * 100) / 100,
            new Kelvins(map.Number("temperature", "K", 0, 10, d.Temperature.Value)),
            new WattHours(map.Number("energy", "Wh", 0, 1000, d.Energy.Value)),
            map.Time("longest", TimeSpan.FromMilliseconds(100), TimeSpan.FromHours(24), d.Longest));
        map.RefuseUnknownKeys();
        return read;
    }

    private static Pack GuardedPack(OptionMap map)
    {
        var pack = new Pack(
            map.Kit("name", "the pack's name, as in the trip file"),
            map.OptionalKit("bank"),
            map.Choice("chemistry", Chemistries, null),
            map.Whole("series", 1, 200, null),
            new AmpereHours(map.Number("capacity", "Ah", 0.01, 10_000, null)),
            Resistance: null,
            map.Has("minChargeTemperature") ? new Celsius(map.Number("minChargeTemperature", "°C", -60, 60, null)) : null,
            map.Has("maxChargeTemperature") ? new Celsius(map.Number("maxChargeTemperature", "°C", 0, 90, null)) : null,
            map.Has("maxCellVolts") ? new Volts(map.Number("maxCellVolts", "V", 0.5, 5, null)) : null,
            Mass: null);
        map.RefuseUnknownKeys();
        return pack;
    }

    private static List<ReaderOptions> Readers(OptionMap map, IReadOnlyList<IReaderKind> kinds)
    {
        var byName = kinds.ToDictionary(k => k.Name, StringComparer.Ordinal);
        var names = new HashSet<string>(StringComparer.Ordinal);
        var readers = new List<ReaderOptions>();
        foreach (OptionMap options in map.Children("readers"))
        {
            string name = options.Text("name", "the reader's name, unique in this file");
            string kindName = options.Text("kind", $"one of {string.Join(", ", byName.Keys)}");
            if (!names.Add(name))
            {
                options.AddProblem("name", $"Two readers are called \"{name}\".", "Give each reader a name of its own.");
            }

            if (!byName.TryGetValue(kindName, out IReaderKind? kind))
            {
                options.AddProblem("kind", $"\"{kindName}\" is no kind of reader.", $"Write one of {string.Join(", ", byName.Keys)}.");
            }
            else if (kind.Configure(name, options) is { } make)
            {
                options.RefuseUnknownKeys();
                readers.Add(new(name, kindName, make));
            }
        }

        return readers;
    }
}
