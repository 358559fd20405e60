using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using YamlDotNet.RepresentationModel;

namespace KitMesh.TripFile.Learnt;

/// <summary>One mapping of a file of learnt kit or of an import; what is wrong goes to the list, and a harmless value stands in.</summary>
internal sealed class LearntEntry(string file, string path, YamlMappingNode node, List<TripProblem> problems, string mend = "Mend the line, or write the file anew with kitmesh learn.")
{
    private static readonly KitId Nobody = KitId.Parse("unreadable");

    internal IEnumerable<LearntEntry> List(string key)
    {
        if (Find(key) is not YamlSequenceNode list)
        {
            Say(Find(key) ?? node, key, "a list is wanted.");
            yield break;
        }

        for (int i = 0; i < list.Children.Count; i++)
        {
            if (list.Children[i] is YamlMappingNode entry)
            {
                yield return new LearntEntry(file, $"{key}[{i}]", entry, problems, mend);
            }
            else
            {
                Say(list.Children[i], $"{key}[{i}]", "a mapping is wanted.");
            }
        }
    }

    internal void NothingElse(params ReadOnlySpan<string> known)
    {
        foreach (YamlNode key in node.Children.Keys)
        {
            if (key is not YamlScalarNode { Value: { } name } || !known.Contains(name))
            {
                Say(key, (key as YamlScalarNode)?.Value ?? "", "this key is not known.");
            }
        }
    }

    internal string Text(string key)
    {
        if (Find(key) is YamlScalarNode { Value: { Length: > 0 and <= 200 } text } && !text.Any(char.IsControl))
        {
            return text;
        }

        Say(Find(key) ?? node, key, "a text of at most 200 characters is wanted.");
        return "";
    }

    internal ValueList<string> Texts(string key)
    {
        if (Find(key) is YamlSequenceNode list && list.Children.All(one => one is YamlScalarNode { Value: { Length: <= 200 } text } && !text.Any(char.IsControl)))
        {
            return list.Children.Select(one => ((YamlScalarNode)one).Value!).ToValueList();
        }

        Say(Find(key) ?? node, key, "a list of texts is wanted.");
        return [];
    }

    internal KitId Id(string key)
    {
        if (Find(key) is YamlScalarNode { Value: { } text } && KitId.TryParse(text, out KitId id))
        {
            return id;
        }

        Say(Find(key) ?? node, key, "a name of 1 to 100 printable characters is wanted.");
        return Nobody;
    }

    internal LearntFigure Figure()
    {
        string text = (Find("figure") as YamlScalarNode)?.Value ?? "";
        foreach (LearntFigure figure in Enum.GetValues<LearntFigure>())
        {
            if (LearntFileWriter.Name(figure) == text)
            {
                return figure;
            }
        }

        Say(Find("figure") ?? node, "figure", $"\"{text}\" is no figure: {string.Join(", ", Enum.GetValues<LearntFigure>().Select(LearntFileWriter.Name))}.");
        return default;
    }

    /// <summary>The unit, which must be the figure's: Ah where Wh are meant is a mistake.</summary>
    internal string Unit(LearntFigure figure)
    {
        string wanted = figure switch
        {
            LearntFigure.LoadPerDay => "Wh/d",
            LearntFigure.PanelDerate => "1",
            LearntFigure.BoxLoss => "W/K",
            LearntFigure.BoxCapacity => "J/K",
            LearntFigure.SourcePerDay => "GB/d",
            _ => "1/d",
        };
        if ((Find("unit") as YamlScalarNode)?.Value is var told && told != wanted)
        {
            Say(Find("unit") ?? node, "unit", $"the unit is {wanted} here, not {told}.");
        }

        return wanted;
    }

    internal double Number(string key, double least, double most)
    {
        if (Find(key) is YamlScalarNode { Value: { } text } && double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && value >= least && value <= most)
        {
            return value;
        }

        Say(Find(key) ?? node, key, string.Create(CultureInfo.InvariantCulture, $"a number from {least} to {most} is wanted."));
        return Math.Max(least, 1);
    }

    internal double? Optional(string key, double least, double most) => Find(key) is null ? null : Number(key, least, most);

    internal bool Has(string key) => Find(key) is not null;

    internal LearntEntry? Mapping(string key)
    {
        if (Find(key) is YamlMappingNode found)
        {
            return new LearntEntry(file, key, found, problems, mend);
        }

        Say(Find(key) ?? node, key, "a mapping is wanted.");
        return null;
    }

    /// <summary>Says that a key is wrong.</summary>
    internal void Wrong(string key, string what) => Say(Find(key) ?? node, key, what);

    internal int Whole(string key) => (int)Number(key, 0, 1_000_000);

    private YamlNode? Find(string key) => node.Children.TryGetValue(new YamlScalarNode(key), out YamlNode? found) ? found : null;

    private void Say(YamlNode at, string key, string what) =>
        problems.Add(new TripProblem(file, (int)Math.Max(1, at.Start.Line), path.Length > 0 ? $"{path}.{key}" : key, what, mend, IsQuestion: false));
}
