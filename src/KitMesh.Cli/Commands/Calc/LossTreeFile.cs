using KitMesh.Cli.Frame;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Footage.Risk;
using YamlDotNet.RepresentationModel;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>
/// A tree of shocks as YAML: drives with their yearly rate, containers that hold drives or containers, shocks that cut
/// across, and clips with the drives that hold them. See docs/footage.md.
/// </summary>
internal sealed class LossTreeFile
{
    private const int MaxDepth = 32;

    private readonly YamlFields _fields;
    private readonly List<string> _names = [];
    private readonly List<double> _rates = [];
    private readonly List<Shock> _shocks = [];
    private readonly List<(string, HeldSet)> _clips = [];

    private LossTreeFile(YamlFields fields, YamlMappingNode root)
    {
        _fields = fields;
        _fields.CheckKeys(root, "days", "drives", "holds", "shocks", "clips");
        Days = _fields.Number(_fields.Required(root, "days"), 0, 36525);
        foreach (YamlNode node in _fields.Items(_fields.Required(root, "drives")))
        {
            YamlMappingNode drive = _fields.Map(node);
            _fields.CheckKeys(drive, "name", "afr");
            _names.Add(_fields.Text(_fields.Required(drive, "name")));
            _rates.Add(_fields.Number(_fields.Required(drive, "afr"), 0, 0.999999));
        }

        foreach (YamlNode node in YamlFields.Optional(root, "holds") is { } holds ? _fields.Items(holds) : [])
        {
            ReadContainer(node, 0);
        }

        foreach (YamlNode node in YamlFields.Optional(root, "shocks") is { } shocks ? _fields.Items(shocks) : [])
        {
            YamlMappingNode shock = _fields.Map(node);
            _fields.CheckKeys(shock, "name", "chance", "drives");
            _shocks.Add(new Shock(_fields.Text(_fields.Required(shock, "name")), _fields.Number(_fields.Required(shock, "chance"), 0, 1), DriveList(_fields.Required(shock, "drives"))));
        }

        OwnChance = _rates.Select(rate => FailureChance.OfDrive(rate, Days)).ToValueList();
        Model = new LossModel(OwnChance, _shocks);
        foreach (YamlNode node in _fields.Items(_fields.Required(root, "clips")))
        {
            ReadClips(_fields.Map(node));
        }
    }

    public double Days { get; }

    public IReadOnlyList<string> Drives => _names;

    public ValueList<double> OwnChance { get; }

    public LossModel Model { get; }

    public IReadOnlyList<(string Name, HeldSet Set)> Clips => _clips;

    public static LossTreeFile Read(FileInfo file) =>
        YamlFields.Read(file, "--tree", "days, drives, holds, shocks and clips", (fields, root) => new LossTreeFile(fields, root));

    private ValueList<int> ReadContainer(YamlNode node, int depth)
    {
        YamlMappingNode container = _fields.Map(node);
        _fields.CheckKeys(container, "name", "chance", "holds");
        if (depth > MaxDepth)
        {
            throw _fields.Fault(node, $"containers nest deeper than {MaxDepth}");
        }

        List<int> inside = [];
        foreach (YamlNode held in _fields.Items(_fields.Required(container, "holds")))
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
        _shocks.Add(new Shock(_fields.Text(_fields.Required(container, "name")), _fields.Number(_fields.Required(container, "chance"), 0, 1), drives));
        return drives;
    }

    private void ReadClips(YamlMappingNode clips)
    {
        _fields.CheckKeys(clips, "name", "copies", "clips", "gigabytes", "bit_error_rate");
        ValueList<int> copies = DriveList(_fields.Required(clips, "copies"));
        double count = YamlFields.Optional(clips, "clips") is { } number ? _fields.Number(number, 1, 1e9) : 1;
        double gigabytes = YamlFields.Optional(clips, "gigabytes") is { } size ? _fields.Number(size, 0, 1e9) : 0;
        double rate = YamlFields.Optional(clips, "bit_error_rate") is { } bits ? _fields.Number(bits, 0, 0.5) : 0;
        double error = FailureChance.OfReading(ByteCount.FromGigabytes(gigabytes / count), rate);
        _clips.Add((_fields.Text(_fields.Required(clips, "name")), new HeldSet(copies, copies.Select(_ => error).ToValueList(), (long)count)));
    }

    private ValueList<int> DriveList(YamlNode node) => _fields.Items(node).Select(DriveNumber).Distinct().Order().ToValueList();

    private int DriveNumber(YamlNode node) =>
        _names.IndexOf(_fields.Text(node)) is >= 0 and int number ? number : throw _fields.Fault(node, $"no drive is named \"{_fields.Text(node)}\"; drives: {string.Join(", ", _names)}");
}
