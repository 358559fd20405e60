using System.Globalization;
using System.Text.Json.Nodes;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.TripFile.Reading;
using YamlDotNet.RepresentationModel;

namespace KitMesh.TripFile.Keys;

/// <summary>A skyline: a list of <c>[heading, height]</c> pairs in degrees, clockwise from north.</summary>
internal sealed class HorizonKey(string name, string meaning) : TripKey<ValueList<HorizonPoint>>(name, meaning, required: false)
{
    private const int MaxPoints = 360;

    public override string Sample => "[[90, 12], [180, 6], [270, 15]]";

    public override string Fits => string.Create(CultureInfo.InvariantCulture, $"at most {MaxPoints} pairs; heading 0 to below 360, height 0 to 90");

    public override JsonObject Schema() => new()
    {
        ["type"] = "array",
        ["maxItems"] = MaxPoints,
        ["items"] = new JsonObject
        {
            ["type"] = "array",
            ["minItems"] = 2,
            ["maxItems"] = 2,
            ["items"] = new JsonObject { ["type"] = "number", ["minimum"] = 0, ["maximum"] = 360 },
        },
        ["description"] = Meaning,
    };

    protected override bool TryReadText(string text, KeyPlace place, out ValueList<HorizonPoint> value)
    {
        value = ValueList<HorizonPoint>.Empty;
        return place.Refuse($"\"{text}\" is no skyline.", $"Write pairs of heading and height in degrees: {Sample}.");
    }

    protected override bool TryReadNode(YamlNode node, KeyPlace place, out ValueList<HorizonPoint> value)
    {
        value = ValueList<HorizonPoint>.Empty;
        if (node is not YamlSequenceNode list || list.Children.Count > MaxPoints)
        {
            return place.Refuse("A list of pairs is expected here.", $"Write pairs of heading and height in degrees: {Sample}.");
        }

        List<HorizonPoint> points = [];
        foreach (YamlNode item in list.Children)
        {
            if (item is not YamlSequenceNode { Children: [YamlScalarNode first, YamlScalarNode second] }
                || !double.TryParse(first.Value, NumberStyles.Float, CultureInfo.InvariantCulture, out double heading)
                || !double.TryParse(second.Value, NumberStyles.Float, CultureInfo.InvariantCulture, out double height)
                || heading is not (>= 0 and < 360)
                || height is not (>= 0 and <= 90))
            {
                place.Entry.Error((int)item.Start.Line, place.Key, $"Pair {points.Count + 1} is no heading from 0 to below 360 with a height from 0 to 90.", $"Write it so: {Sample}.");
                return false;
            }

            points.Add(new HorizonPoint(new Degrees(heading), new Degrees(height)));
        }

        if (points.Select(point => point.Heading.Value).Distinct().Count() != points.Count)
        {
            return place.Refuse("A heading stands twice.", "Write one height for each heading.");
        }

        value = points.OrderBy(point => point.Heading.Value).ToValueList();
        return true;
    }
}
