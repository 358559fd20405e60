using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.TripFile.Reading;
using KitMesh.TripFile.Sections;
using YamlDotNet.RepresentationModel;

namespace KitMesh.TripFile;

/// <summary>Reads a trip file: YAML in, declared kit out, every mistake at once with its line.</summary>
/// <remarks>
/// A file is read by sections (<see cref="SectionCatalogue"/>), each a list of keys that know their unit, range and meaning;
/// the same keys write the JSON Schema, so that an editor and this reader agree. Names are checked after all sections are
/// read, so that their order in the file does not matter.
/// </remarks>
public static class TripFileReader
{
    /// <summary>The most characters a trip file may have.</summary>
    public const int MaxCharacters = 1_000_000;

    /// <summary>Reads the text of a trip file.</summary>
    /// <param name="file">Its name, for messages.</param>
    /// <param name="text">Its text.</param>
    public static TripFileResult Read(string file, string text)
    {
        ArgumentNullException.ThrowIfNull(file);
        ArgumentNullException.ThrowIfNull(text);
        var ledger = new TripLedger(file);
        if (ParseRoot(text, ledger) is { } root)
        {
            ReadSections(root, ledger);
            ledger.CheckNames();
            if (!ledger.HasErrors)
            {
                ChosenEntry.Resolve(ledger);
                TripChecks.Run(ledger);
            }
        }

        ValueList<TripProblem> problems = ledger.Problems.OrderBy(problem => problem.Line).ToValueList();
        return ledger.HasErrors ? new TripRefused(problems) : new TripRead(ledger.Items.ToValueList(), problems)
        {
            Links = ledger.Links.ToValueList(),
            Extras = new PlanExtras(ledger.Gear.ToValueList(), ledger.Choices.ToValueList()),
        };
    }

    private static YamlMappingNode? ParseRoot(string text, TripLedger ledger)
    {
        if (text.Length > MaxCharacters)
        {
            ledger.Error(1, "", $"The file has {text.Length} characters.", $"A trip file has at most {MaxCharacters}: is this the right file?");
            return null;
        }

        if (YamlText.Load(text, out YamlStream stream) is { } fault)
        {
            ledger.Error(fault.Line, "", $"This is no YAML: {fault.Message}", YamlMend(fault.Message));
            return null;
        }

        if (stream.Documents is [{ RootNode: YamlMappingNode root }])
        {
            return root;
        }

        ledger.Error(1, "", "The file is no single list of sections.", "Start with \"trip:\" at the left edge; see deploy/trip.example.yaml.");
        return null;
    }

    private static string YamlMend(string message) =>
        message.Contains("uplicate", StringComparison.Ordinal)
            ? "Write each key once."
            : "Look for a missing blank after a colon, a tab, or an indent that does not match.";

    private static void ReadSections(YamlMappingNode root, TripLedger ledger)
    {
        foreach (Section section in SectionCatalogue.All.Where(section => section.Required && !Has(root, section.Name)))
        {
            ledger.Error(1, section.Name, "The section is missing.", $"Add \"{section.Name}:\" at the left edge: {section.Meaning}");
        }

        foreach ((YamlNode keyNode, YamlNode value) in root.Children)
        {
            string key = (keyNode as YamlScalarNode)?.Value ?? "";
            if (SectionCatalogue.Find(key) is { } section)
            {
                section.ReadAll(value, (int)keyNode.Start.Line, ledger);
                continue;
            }

            string? near = NearestWord.To(key, SectionCatalogue.All.Select(known => known.Name));
            ledger.Error(
                (int)keyNode.Start.Line,
                key,
                "This section is not known.",
                near is null ? $"Known sections: {string.Join(", ", SectionCatalogue.All.Select(known => known.Name))}." : $"Did you mean \"{near}\"?");
        }
    }

    private static bool Has(YamlMappingNode root, string key) => root.Children.ContainsKey(new YamlScalarNode(key));
}
