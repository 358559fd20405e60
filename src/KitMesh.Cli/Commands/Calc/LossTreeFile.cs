using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Footage.Risk;
using YamlDotNet.Core;
using YamlDotNet.RepresentationModel;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>
/// A tree of shocks as YAML: drives with their yearly rate, containers that hold drives or containers, shocks that cut
/// across, and clips with the drives that hold them. See docs/footage.md.
/// </summary>
internal sealed class LossTreeFile
{
    private const int MaxDepth = 32;

    private readonly string _file;
    private readonly List<string> _names = [];
    private readonly List<double> _rates = [];
    private readonly List<Shock> _shocks = [];
    private readonly List<(string, HeldSet)> _clips = [];

    private LossTreeFile(string file, YamlMappingNode root)
    {
        _file = file;
        CheckKeys(root, "days", "drives", "holds", "shocks", "clips");
        Days = Number(Required(root, "days"), 0, 36525);
        foreach (YamlNode node in Items(Required(root, "drives")))
        {
            YamlMappingNode drive = Map(node);
            CheckKeys(drive, "name", "afr");
            _names.Add(Text(Required(drive, "name")));
            _rates.Add(Number(Required(drive, "afr"), 0, 0.999999));
        }

        foreach (YamlNode node in Optional(root, "holds") is { } holds ? Items(holds) : [])
        {
            ReadContainer(node, 0);
        }

        foreach (YamlNode node in Optional(root, "shocks") is { } shocks ? Items(shocks) : [])
        {
            YamlMappingNode shock = Map(node);
            CheckKeys(shock, "name", "chance", "drives");
            _shocks.Add(new Shock(Text(Required(shock, "name")), Number(Required(shock, "chance"), 0, 1), DriveList(Required(shock, "drives"))));
        }

        OwnChance = _rates.Select(rate => FailureChance.OfDrive(rate, Days)).ToValueList();
        Model = new LossModel(OwnChance, _shocks);
        foreach (YamlNode node in Items(Required(root, "clips")))
        {
            ReadClips(Map(node));
        }
    }

    public double Days { get; }

    public IReadOnlyList<string> Drives => _names;

    public ValueList<double> OwnChance { get; }

    public LossModel Model { get; }

    public IReadOnlyList<(string Name, HeldSet Set)> Clips => _clips;

    public static LossTreeFile Read(FileInfo file)
    {
        try
        {
            using StreamReader text = file.OpenText();
            var yaml = new YamlStream();
            yaml.Load(text);
            if (yaml.Documents.Count != 1 || yaml.Documents[0].RootNode is not YamlMappingNode root)
            {
                throw CommandFault.BadInput($"{file.Name} must hold one mapping with days, drives, holds, shocks and clips.");
            }

            return new LossTreeFile(file.Name, root);
        }
        catch (YamlException fault)
        {
            throw CommandFault.BadInput($"{file.Name}, line {fault.Start.Line}: {fault.Message}", "Mend the YAML there.", fault);
        }
        catch (ArgumentException fault)
        {
            throw CommandFault.BadInput($"{file.Name}: {fault.Message}", inner: fault);
        }
    }

    private ValueList<int> ReadContainer(YamlNode node, int depth)
    {
        YamlMappingNode container = Map(node);
        CheckKeys(container, "name", "chance", "holds");
        if (depth > MaxDepth)
        {
            throw Fault(node, $"containers nest deeper than {MaxDepth}");
        }

        List<int> inside = [];
        foreach (YamlNode held in Items(Required(container, "holds")))
        {
            if (held is YamlScalarNode)
            {
                inside.Add(DriveNumber(held));
            }
            else
            {
                inside.AddRange(ReadContainer(held, depth + 1));
            }
        }

        ValueList<int> drives = inside.Distinct().Order().ToValueList();
        _shocks.Add(new Shock(Text(Required(container, "name")), Number(Required(container, "chance"), 0, 1), drives));
        return drives;
    }

    private void ReadClips(YamlMappingNode clips)
    {
        CheckKeys(clips, "name", "copies", "clips", "gigabytes", "bit_error_rate");
        ValueList<int> copies = DriveList(Required(clips, "copies"));
        double count = Optional(clips, "clips") is { } number ? Number(number, 1, 1e9) : 1;
        double gigabytes = Optional(clips, "gigabytes") is { } size ? Number(size, 0, 1e9) : 0;
        double rate = Optional(clips, "bit_error_rate") is { } bits ? Number(bits, 0, 0.5) : 0;
        double error = FailureChance.OfReading(ByteCount.FromGigabytes(gigabytes / count), rate);
        _clips.Add((Text(Required(clips, "name")), new HeldSet(copies, copies.Select(_ => error).ToValueList(), (long)count)));
    }

    private ValueList<int> DriveList(YamlNode node) => Items(node).Select(DriveNumber).Distinct().Order().ToValueList();

    private int DriveNumber(YamlNode node) =>
        _names.IndexOf(Text(node)) is >= 0 and int number ? number : throw Fault(node, $"no drive is named \"{Text(node)}\"; drives: {string.Join(", ", _names)}");

    private void CheckKeys(YamlMappingNode map, params string[] known)
    {
        foreach (YamlNode key in map.Children.Keys)
        {
            if (!known.Contains(Text(key)))
            {
                throw Fault(key, $"unknown key \"{Text(key)}\"; known here: {string.Join(", ", known)}");
            }
        }
    }

    private YamlNode Required(YamlMappingNode map, string key) => Optional(map, key) ?? throw Fault(map, $"{key} is missing");

    private static YamlNode? Optional(YamlMappingNode map, string key) => map.Children.TryGetValue(new YamlScalarNode(key), out YamlNode? node) ? node : null;

    private YamlMappingNode Map(YamlNode node) => node as YamlMappingNode ?? throw Fault(node, "a mapping is wanted here");

    private IEnumerable<YamlNode> Items(YamlNode node) => node as YamlSequenceNode ?? throw Fault(node, "a list is wanted here");

    private string Text(YamlNode node) => (node as YamlScalarNode)?.Value is { Length: > 0 } text ? text : throw Fault(node, "a name is wanted here");

    private double Number(YamlNode node, double least, double most) =>
        node is YamlScalarNode { Value: { } text }
        && double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
        && value >= least
        && value <= most
            ? value
            : throw Fault(node, string.Create(CultureInfo.InvariantCulture, $"a number from {least} to {most} is wanted here"));

    private CommandFault Fault(YamlNode node, string why) => CommandFault.BadInput($"{_file}, line {node.Start.Line}: {why}.");
}
