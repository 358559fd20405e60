using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using YamlDotNet.Core;
using YamlDotNet.Core.Events;
using YamlDotNet.RepresentationModel;

namespace KitMesh.Devices.Options;

/// <summary>One mapping of a YAML file, read key by key. Wrong values and left-over keys become problems with their line.</summary>
/// <remarks>
/// A getter that finds a wrong value adds a problem and returns the default, so that one pass finds every mistake.
/// Call <see cref="RefuseUnknownKeys"/> after the last getter.
/// </remarks>
public sealed class OptionMap
{
    /// <summary>Lists and mappings may stand so deep in each other; the files that KitMesh knows need five.</summary>
    public const int MaxDepth = 16;

    private readonly YamlMappingNode _node;
    private readonly List<OptionProblem> _problems;
    private readonly HashSet<string> _asked = new(StringComparer.Ordinal);

    private OptionMap(string file, string path, YamlMappingNode node, List<OptionProblem> problems)
    {
        File = file;
        Path = path;
        _node = node;
        _problems = problems;
    }

    /// <summary>The file, as messages name it.</summary>
    public string File { get; }

    /// <summary>Path of this mapping in the file; empty at the root.</summary>
    public string Path { get; }

    /// <summary>Line where the mapping starts.</summary>
    public int Line => (int)_node.Start.Line;

    /// <summary>Everything wrong so far in the whole file.</summary>
    public IReadOnlyList<OptionProblem> Problems => _problems;

    /// <summary>Reads a YAML text whose root is a mapping.</summary>
    /// <param name="file">Its name, for messages.</param>
    /// <param name="text">The text.</param>
    /// <param name="problems">Collects what is wrong.</param>
    /// <returns>The root; null when the text is no YAML mapping (the reason is in <paramref name="problems"/>).</returns>
    public static OptionMap? Parse(string file, string text, List<OptionProblem> problems)
    {
        try
        {
            if (LineTooDeep(text) is { } deep)
            {
                problems.Add(new(file, deep, "", $"Lists and mappings stand more than {MaxDepth} deep in each other.", "Look for an unclosed bracket or a block that is indented too far."));
                return null;
            }

            var stream = new YamlStream();
            stream.Load(new StringReader(text));
            if (stream.Documents.Count == 1 && stream.Documents[0].RootNode is YamlMappingNode root)
            {
                return new OptionMap(file, "", root, problems);
            }

            problems.Add(new(file, 1, "", "The file is no single YAML mapping.", "Start it with \"key: value\" lines."));
        }
        catch (Exception e) when (e is InvalidOperationException or ArgumentException)
        {
            // Some texts that are no YAML make the parser throw other exceptions than its own.
            problems.Add(new(file, 1, "", "This is no YAML: part of it cannot be read.", "Look for a missing blank after a colon, a tab, or an unclosed bracket or quote."));
        }
        catch (YamlException e)
        {
            problems.Add(new(file, (int)e.Start.Line, "", $"This is no YAML: {e.Message}", "Look for a missing blank after a colon, a tab, or a key that stands twice."));
        }

        return null;
    }

    /// <summary>Adds a problem at a key of this mapping.</summary>
    /// <param name="key">The key, there or missing.</param>
    /// <param name="what">What is wrong.</param>
    /// <param name="mend">What to write instead.</param>
    public void AddProblem(string key, string what, string mend) => _problems.Add(new(File, LineOf(key), PathOf(key), what, mend));

    /// <summary>Whether the key stands in the mapping.</summary>
    /// <param name="key">The key.</param>
    public bool Has(string key) => Find(key) is not null;

    /// <summary>The keys as they stand in the file.</summary>
    public IEnumerable<string> Keys => _node.Children.Keys.OfType<YamlScalarNode>().Select(k => k.Value ?? "");

    /// <summary>Text that may be missing.</summary>
    /// <param name="key">The key.</param>
    public string? OptionalText(string key)
    {
        switch (Find(key))
        {
            case null:
                return null;
            case YamlScalarNode { Value: { Length: > 0 } value }:
                return value;
            default:
                AddProblem(key, "A text is expected here.", "Write it after the colon, in quotes if it has a colon itself.");
                return null;
        }
    }

    /// <summary>Text that must be there.</summary>
    /// <param name="key">The key.</param>
    /// <param name="meaning">What it is, for the message when it is missing.</param>
    public string Text(string key, string meaning)
    {
        if (!Has(key))
        {
            _asked.Add(key);
            AddProblem(key, "The key is missing.", $"Add \"{key}: ...\": {meaning}.");
            return "";
        }

        return OptionalText(key) ?? "";
    }

    /// <summary>A path that must be there; a relative one counts from the folder of this file.</summary>
    /// <param name="key">The key.</param>
    /// <param name="meaning">What it is.</param>
    public string FilePath(string key, string meaning)
    {
        string text = Text(key, meaning);
        return text.Length == 0 ? "" : System.IO.Path.GetFullPath(text, System.IO.Path.GetDirectoryName(System.IO.Path.GetFullPath(File)) ?? ".");
    }

    /// <summary>A path that may be missing; a relative one counts from the folder of this file.</summary>
    /// <param name="key">The key.</param>
    /// <param name="meaning">What it is.</param>
    /// <param name="fallback">When the key is missing.</param>
    public string FilePath(string key, string meaning, string fallback) => Has(key) ? FilePath(key, meaning) : fallback;

    /// <summary>Takes over the problems of another file that this one names.</summary>
    /// <param name="problems">The other file's problems.</param>
    public void Take(IEnumerable<OptionProblem> problems) => _problems.AddRange(problems);

    /// <summary>The name of a kit item that may be missing.</summary>
    /// <param name="key">The key.</param>
    public KitId? OptionalKit(string key)
    {
        if (OptionalText(key) is not { } text)
        {
            return null;
        }

        if (KitId.TryParse(text, out KitId id))
        {
            return id;
        }

        AddProblem(key, $"\"{text}\" is no kit name.", $"Use 1 to {KitId.MaxLength} printable characters without blanks at the ends.");
        return null;
    }

    /// <summary>The name of a kit item that must be there.</summary>
    /// <param name="key">The key.</param>
    /// <param name="meaning">What it is.</param>
    public KitId Kit(string key, string meaning)
    {
        if (!Has(key))
        {
            Text(key, meaning);
            return default;
        }

        return OptionalKit(key) ?? default;
    }

    /// <summary>A whole number.</summary>
    /// <param name="key">The key.</param>
    /// <param name="min">Least.</param>
    /// <param name="max">Most.</param>
    /// <param name="fallback">When the key is missing; null when it must be there.</param>
    public int Whole(string key, int min, int max, int? fallback)
    {
        string range = string.Create(CultureInfo.InvariantCulture, $"a whole number from {min} to {max}");
        if (!Has(key) && fallback is { } value)
        {
            return value;
        }

        string text = Text(key, range);
        if (int.TryParse(text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out int number) && number >= min && number <= max)
        {
            return number;
        }

        ReportRange(key, text, range, fallback?.ToString(CultureInfo.InvariantCulture));
        return fallback ?? min;
    }

    /// <summary>A number, with its unit where one is named.</summary>
    /// <param name="key">The key.</param>
    /// <param name="unit">The unit that must follow the number; empty for a plain number.</param>
    /// <param name="min">Least.</param>
    /// <param name="max">Most.</param>
    /// <param name="fallback">When the key is missing; null when it must be there.</param>
    public double Number(string key, string unit, double min, double max, double? fallback)
    {
        string range = string.Create(CultureInfo.InvariantCulture, $"a number from {min} to {max}{(unit.Length == 0 ? "" : " with its unit, " + unit)}");
        if (!Has(key) && fallback is { } value)
        {
            return value;
        }

        string text = Text(key, range);
        string digits = unit.Length > 0 && text.EndsWith(unit, StringComparison.Ordinal) ? text[..^unit.Length].TrimEnd() : unit.Length == 0 ? text : "";
        if (double.TryParse(digits, NumberStyles.Float, CultureInfo.InvariantCulture, out double number) && number >= min && number <= max)
        {
            return number;
        }

        ReportRange(key, text, range, fallback is { } f ? string.Create(CultureInfo.InvariantCulture, $"{f} {unit}").TrimEnd() : null);
        return fallback ?? min;
    }

    /// <summary>A length of time such as <c>250 ms</c>, <c>10 s</c>, <c>5 min</c>, <c>2 h</c> or <c>3 d</c>.</summary>
    /// <param name="key">The key.</param>
    /// <param name="min">Least.</param>
    /// <param name="max">Most.</param>
    /// <param name="fallback">When the key is missing.</param>
    public TimeSpan Time(string key, TimeSpan min, TimeSpan max, TimeSpan fallback)
    {
        if (OptionalText(key) is not { } text)
        {
            return fallback;
        }

        if (OptionTime.TryParse(text, out TimeSpan time) && time >= min && time <= max)
        {
            return time;
        }

        ReportRange(key, text, $"a time from {OptionTime.Show(min)} to {OptionTime.Show(max)}", OptionTime.Show(fallback));
        return fallback;
    }

    /// <summary>Yes or no.</summary>
    /// <param name="key">The key.</param>
    /// <param name="fallback">When the key is missing.</param>
    public bool Flag(string key, bool fallback)
    {
        switch (OptionalText(key))
        {
            case null:
                return fallback;
            case "true" or "yes":
                return true;
            case "false" or "no":
                return false;
            case var text:
                ReportRange(key, text, "true or false", fallback ? "true" : "false");
                return fallback;
        }
    }

    /// <summary>One of several words.</summary>
    /// <typeparam name="T">What the words stand for.</typeparam>
    /// <param name="key">The key.</param>
    /// <param name="words">The words and their meanings.</param>
    /// <param name="fallback">The word taken when the key is missing; null when it must be there.</param>
    public T Choice<T>(string key, IReadOnlyDictionary<string, T> words, string? fallback)
    {
        string range = $"one of {string.Join(", ", words.Keys)}";
        string text = fallback is null || Has(key) ? Text(key, range) : fallback;
        if (words.TryGetValue(text, out T? value))
        {
            return value;
        }

        ReportRange(key, text, range, fallback);
        return words[fallback ?? words.Keys.First()];
    }

    /// <summary>The mapping under a key; null when the key is missing.</summary>
    /// <param name="key">The key.</param>
    public OptionMap? Child(string key)
    {
        switch (Find(key))
        {
            case null:
                return null;
            case YamlMappingNode node:
                return new OptionMap(File, PathOf(key), node, _problems);
            default:
                AddProblem(key, "\"key: value\" lines are expected under this key.", "Indent them below it.");
                return null;
        }
    }

    /// <summary>The list of mappings under a key; empty when the key is missing.</summary>
    /// <param name="key">The key.</param>
    public IReadOnlyList<OptionMap> Children(string key)
    {
        YamlNode? found = Find(key);
        if (found is null)
        {
            return [];
        }

        if (found is YamlSequenceNode list && list.Children.All(c => c is YamlMappingNode))
        {
            return [.. list.Children.Cast<YamlMappingNode>().Select((c, i) => new OptionMap(File, string.Create(CultureInfo.InvariantCulture, $"{PathOf(key)}[{i}]"), c, _problems))];
        }

        AddProblem(key, "A list is expected here.", "Start each item with \"- \" below the key.");
        return [];
    }

    /// <summary>The list of texts under a key, or the one text; empty when the key is missing.</summary>
    /// <param name="key">The key.</param>
    public IReadOnlyList<string> Texts(string key)
    {
        switch (Find(key))
        {
            case null:
                return [];
            case YamlScalarNode { Value: { Length: > 0 } value }:
                return [value];
            case YamlSequenceNode list when list.Children.All(c => c is YamlScalarNode { Value.Length: > 0 }):
                return [.. list.Children.Cast<YamlScalarNode>().Select(c => c.Value!)];
            default:
                AddProblem(key, "A list of texts is expected here.", "Write one \"- text\" line for each.");
                return [];
        }
    }

    /// <summary>Adds a problem for each key that no getter asked for.</summary>
    public void RefuseUnknownKeys()
    {
        foreach (string key in Keys.Where(k => !_asked.Contains(k)))
        {
            string mend = NearestWord.To(key, _asked) is { } near ? $"Did you mean \"{near}\"?" : $"Known keys: {string.Join(", ", _asked.Order(StringComparer.Ordinal))}.";
            AddProblem(key, "This key is not known here.", mend);
        }
    }

    /// <summary>
    /// The line where the text nests too deep; null when it does not. The tree is built by recursion, which a file of brackets
    /// would drive over the end of the stack; the events that are counted here come without.
    /// </summary>
    private static int? LineTooDeep(string text)
    {
        var parser = new Parser(new StringReader(text));
        int depth = 0;
        while (parser.MoveNext())
        {
            depth += parser.Current switch
            {
                MappingStart or SequenceStart => 1,
                MappingEnd or SequenceEnd => -1,
                _ => 0,
            };
            if (depth > MaxDepth)
            {
                return (int)parser.Current!.Start.Line;
            }
        }

        return null;
    }

    private YamlNode? Find(string key)
    {
        _asked.Add(key);
        return _node.Children.TryGetValue(new YamlScalarNode(key), out YamlNode? value) ? value : null;
    }

    private int LineOf(string key)
    {
        foreach (YamlNode candidate in _node.Children.Keys)
        {
            if (candidate is YamlScalarNode scalar && scalar.Value == key)
            {
                return (int)scalar.Start.Line;
            }
        }

        return Line;
    }

    private string PathOf(string key) => Path.Length == 0 ? key : $"{Path}.{key}";

    private void ReportRange(string key, string text, string range, string? fallback)
    {
        if (text.Length > 0)
        {
            AddProblem(key, $"\"{text}\" does not fit.", $"Write {range}{(fallback is null ? "" : $" (without the key: {fallback})")}.");
        }
    }
}
