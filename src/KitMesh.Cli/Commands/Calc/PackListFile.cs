using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Models.Battery;
using YamlDotNet.RepresentationModel;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>Packs to be joined, as YAML: <c>rlead_ohm</c> and a list <c>packs</c> of name, volts, ohm and maxcharge_a. See docs/cli.md.</summary>
internal sealed class PackListFile
{
    private const int MaxPacks = 64;

    private readonly YamlFields _fields;
    private readonly List<string> _names = [];
    private readonly List<ParallelPack> _packs = [];

    private PackListFile(YamlFields fields, YamlMappingNode root)
    {
        _fields = fields;
        fields.CheckKeys(root, "rlead_ohm", "packs");
        double half = YamlFields.Optional(root, "rlead_ohm") is { } lead ? fields.Number(lead, 0, 1_000) / 2 : 0;
        YamlNode list = fields.Required(root, "packs");
        foreach (YamlNode node in fields.Items(list))
        {
            Read(fields.Map(node), half);
        }

        if (_packs.Count is < 2 or > MaxPacks)
        {
            throw fields.Fault(list, $"2 to {MaxPacks} packs are wanted, {_packs.Count} are given");
        }
    }

    public IReadOnlyList<string> Names => _names;

    public IReadOnlyList<ParallelPack> Packs => _packs;

    public static PackListFile Read(FileInfo file) =>
        YamlFields.Read(file, "--packs", "rlead_ohm and packs", (fields, root) => new PackListFile(fields, root));

    private void Read(YamlMappingNode pack, double halfLeadOhm)
    {
        _fields.CheckKeys(pack, "name", "volts", "ohm", "maxcharge_a");
        double volts = _fields.Number(pack, "volts", 0, 1_000);
        double ohm = _fields.Number(pack, "ohm", 0, 1_000);
        if (ohm == 0)
        {
            throw _fields.Fault(pack, "ohm must be above zero");
        }

        Amperes? most = YamlFields.Optional(pack, "maxcharge_a") is { } limit ? new Amperes(_fields.Number(limit, 0, 10_000)) : null;
        _packs.Add(new ParallelPack(new Volts(volts), new Ohms(ohm + halfLeadOhm), most));
        _names.Add(YamlFields.Optional(pack, "name") is { } name ? _fields.Text(name) : string.Create(CultureInfo.InvariantCulture, $"pack {_packs.Count}"));
    }
}
