using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Models.Battery;
using YamlDotNet.Core;
using YamlDotNet.RepresentationModel;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>Packs to be joined, as YAML: <c>rlead_ohm</c> and a list <c>packs</c> of name, volts, ohm and maxcharge_a. See docs/cli.md.</summary>
internal sealed class PackListFile
{
    private const int MaxPacks = 64;

    private readonly string _file;
    private readonly List<string> _names = [];
    private readonly List<ParallelPack> _packs = [];

    private PackListFile(string file, YamlMappingNode root)
    {
        _file = file;
        CheckKeys(root, "rlead_ohm", "packs");
        double half = Number(root, "rlead_ohm", 0, 1_000) is { } lead ? lead / 2 : 0;
        if (Child(root, "packs") is not YamlSequenceNode list)
        {
            throw Fault(root, "packs is missing: a list of packs with volts and ohm");
        }

        foreach (YamlNode node in list)
        {
            Read(node as YamlMappingNode ?? throw Fault(node, "a pack with volts and ohm is wanted here"), half);
        }

        if (_packs.Count is < 2 or > MaxPacks)
        {
            throw Fault(list, $"2 to {MaxPacks} packs are wanted, {_packs.Count} are given");
        }
    }

    public IReadOnlyList<string> Names => _names;

    public IReadOnlyList<ParallelPack> Packs => _packs;

    public static PackListFile Read(FileInfo file)
    {
        if (!file.Exists)
        {
            throw CommandFault.BadInput($"There is no file {file.FullName}.", "Check the path behind --packs.");
        }

        try
        {
            using StreamReader text = file.OpenText();
            var yaml = new YamlStream();
            yaml.Load(text);
            return yaml.Documents is [{ RootNode: YamlMappingNode root }]
                ? new PackListFile(file.Name, root)
                : throw CommandFault.BadInput($"{file.Name} must hold one mapping with rlead_ohm and packs.");
        }
        catch (YamlException fault)
        {
            throw CommandFault.BadInput($"{file.Name}, line {fault.Start.Line}: {fault.Message}", "Mend the YAML there.", fault);
        }
    }

    private void Read(YamlMappingNode pack, double halfLeadOhm)
    {
        CheckKeys(pack, "name", "volts", "ohm", "maxcharge_a");
        double volts = Number(pack, "volts", 0, 1_000) ?? throw Fault(pack, "volts is missing");
        double ohm = Number(pack, "ohm", 0, 1_000) ?? throw Fault(pack, "ohm is missing");
        if (!(ohm > 0))
        {
            throw Fault(pack, "ohm must be above zero");
        }

        Amperes? most = Number(pack, "maxcharge_a", 0, 10_000) is { } amperes ? new Amperes(amperes) : null;
        _packs.Add(new ParallelPack(new Volts(volts), new Ohms(ohm + halfLeadOhm), most));
        string name = (Child(pack, "name") as YamlScalarNode)?.Value ?? "";
        _names.Add(name.Length > 0 ? name : string.Create(CultureInfo.InvariantCulture, $"pack {_packs.Count}"));
    }

    private void CheckKeys(YamlMappingNode map, params string[] known)
    {
        foreach (YamlNode key in map.Children.Keys)
        {
            if (!known.Contains((key as YamlScalarNode)?.Value))
            {
                throw Fault(key, $"unknown key \"{key}\"; known here: {string.Join(", ", known)}");
            }
        }
    }

    private double? Number(YamlMappingNode map, string key, double least, double most) => Child(map, key) switch
    {
        null => null,
        YamlScalarNode { Value: { } text } when double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && value >= least && value <= most => value,
        { } node => throw Fault(node, string.Create(CultureInfo.InvariantCulture, $"{key} must be a number from {least} to {most}")),
    };

    private static YamlNode? Child(YamlMappingNode map, string key) => map.Children.TryGetValue(new YamlScalarNode(key), out YamlNode? node) ? node : null;

    private CommandFault Fault(YamlNode node, string why) => CommandFault.BadInput($"{_file}, line {node.Start.Line}: {why}.");
}
