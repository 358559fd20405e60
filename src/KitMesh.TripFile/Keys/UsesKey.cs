using System.Globalization;
using System.Text.Json.Nodes;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Reading;
using YamlDotNet.RepresentationModel;

namespace KitMesh.TripFile.Keys;

/// <summary>The names of several things that other entries declare.</summary>
internal sealed class UsesKey(string name, int least, string sample, string meaning, params KitKind[] kinds)
    : TripKey<ValueList<KitId>>(name, meaning, required: true)
{
    private const int Most = 50;

    public override string Sample => $"[{sample}]";

    public override string Fits => string.Create(
        CultureInfo.InvariantCulture, $"{least} to {Most} names under {string.Join(" or ", kinds.Select(KindWords.Section))}");

    public override JsonObject Schema() => new()
    {
        ["type"] = "array",
        ["minItems"] = least,
        ["maxItems"] = Most,
        ["items"] = KitNameSchema.Of("A name that another entry declares.", sample.Split(", ")[0]),
        ["description"] = Meaning,
    };

    protected override bool TryReadText(string text, KeyPlace place, out ValueList<KitId> value)
    {
        value = ValueList<KitId>.Empty;
        return place.Refuse("A list of names is expected here.", $"Write it so: {Sample}.");
    }

    protected override bool TryReadNode(YamlNode node, KeyPlace place, out ValueList<KitId> value)
    {
        value = ValueList<KitId>.Empty;
        if (node is not YamlSequenceNode list || list.Children.Count < least || list.Children.Count > Most)
        {
            return place.Refuse(
                string.Create(CultureInfo.InvariantCulture, $"A list of {least} to {Most} names is expected here."),
                $"Write it so: {Sample}.");
        }

        List<KitId> names = [];
        foreach (YamlNode item in list.Children)
        {
            if (item is not YamlScalarNode scalar || !KitId.TryParse(scalar.Value, out KitId id))
            {
                place.Entry.Error((int)item.Start.Line, place.Key, $"Entry {names.Count + 1} is no name.", $"Use 1 to {KitId.MaxLength} printable characters without blanks at the ends.");
                return false;
            }

            place.Entry.Ledger.Use((int)item.Start.Line, place.Path, id, kinds);
            names.Add(id);
        }

        value = names.Distinct().Order().ToValueList();
        return true;
    }
}
