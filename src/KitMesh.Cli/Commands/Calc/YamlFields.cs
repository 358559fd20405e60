using System.Globalization;
using KitMesh.Cli.Frame;
using YamlDotNet.Core;
using YamlDotNet.RepresentationModel;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>Reads the fields of a small YAML file and refuses what does not fit by file and line.</summary>
/// <param name="file">Its name, for the words.</param>
internal sealed class YamlFields(string file)
{
    /// <summary>Reads a file that holds one mapping.</summary>
    /// <param name="from">The file.</param>
    /// <param name="option">The option that named it.</param>
    /// <param name="holding">What the mapping holds, in words.</param>
    /// <param name="make">Makes the result from the mapping.</param>
    public static T Read<T>(FileInfo from, string option, string holding, Func<YamlFields, YamlMappingNode, T> make)
    {
        if (!from.Exists)
        {
            throw CommandFault.BadInput($"There is no file {from.FullName}.", $"Check the path behind {option}.");
        }

        try
        {
            using StreamReader text = from.OpenText();
            var yaml = new YamlStream();
            yaml.Load(text);
            return yaml.Documents is [{ RootNode: YamlMappingNode root }]
                ? make(new YamlFields(from.Name), root)
                : throw CommandFault.BadInput($"{from.Name} must hold one mapping with {holding}.");
        }
        catch (YamlException fault)
        {
            throw CommandFault.BadInput($"{from.Name}, line {fault.Start.Line}: {fault.Message}", "Mend the YAML there.", fault);
        }
        catch (ArgumentException fault)
        {
            throw CommandFault.BadInput($"{from.Name}: {fault.Message}", inner: fault);
        }
    }

    public static YamlNode? Optional(YamlMappingNode map, string key) => map.Children.TryGetValue(new YamlScalarNode(key), out YamlNode? node) ? node : null;

    public YamlNode Required(YamlMappingNode map, string key) => Optional(map, key) ?? throw Fault(map, $"{key} is missing");

    public void CheckKeys(YamlMappingNode map, params string[] known)
    {
        foreach (YamlNode key in map.Children.Keys)
        {
            if (!known.Contains(Text(key)))
            {
                throw Fault(key, $"unknown key \"{Text(key)}\"; known here: {string.Join(", ", known)}");
            }
        }
    }

    public YamlMappingNode Map(YamlNode node) => node as YamlMappingNode ?? throw Fault(node, "a mapping is wanted here");

    public IEnumerable<YamlNode> Items(YamlNode node) => node as YamlSequenceNode ?? throw Fault(node, "a list is wanted here");

    public string Text(YamlNode node) => (node as YamlScalarNode)?.Value is { Length: > 0 } text ? text : throw Fault(node, "a name is wanted here");

    public double Number(YamlNode node, double least, double most) =>
        TryNumber(node, least, most) ?? throw Fault(node, string.Create(CultureInfo.InvariantCulture, $"a number from {least} to {most} is wanted here"));

    /// <summary>The number under a key that must be there.</summary>
    public double Number(YamlMappingNode map, string key, double least, double most) =>
        TryNumber(Required(map, key), least, most)
        ?? throw Fault(Required(map, key), string.Create(CultureInfo.InvariantCulture, $"{key} must be a number from {least} to {most}"));

    public CommandFault Fault(YamlNode node, string why) => CommandFault.BadInput($"{file}, line {node.Start.Line}: {why}.");

    private static double? TryNumber(YamlNode node, double least, double most) =>
        node is YamlScalarNode { Value: { } text }
        && double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
        && value >= least
        && value <= most
            ? value
            : null;
}
