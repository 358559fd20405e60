using System.Globalization;
using System.Text.Json.Nodes;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>A plain number: a share, a fraction, a coordinate in degrees.</summary>
internal sealed class NumberKey(string name, double min, double max, double sample, string meaning, double? standard = null, bool required = true)
    : TripKey<double>(name, meaning, required && standard is null)
{
    public override string Sample => sample.ToString(CultureInfo.InvariantCulture);

    /// <summary>The value taken without the key.</summary>
    public double Standard => standard ?? throw new InvalidOperationException($"{Name} has no default.");

    public override string Fits => string.Create(CultureInfo.InvariantCulture, $"{min} to {max}{(standard is { } value ? $"; {value}" : "")}");

    public override JsonObject Schema()
    {
        var schema = new JsonObject
        {
            ["type"] = "number",
            ["minimum"] = min,
            ["maximum"] = max,
            ["description"] = Meaning,
            ["examples"] = new JsonArray(sample),
        };
        if (standard is { } value)
        {
            schema["default"] = value;
        }

        return schema;
    }

    protected override bool TryReadText(string text, KeyPlace place, out double value)
    {
        string range = string.Create(CultureInfo.InvariantCulture, $"from {min} to {max}");
        if (!double.TryParse(text.Replace('\u2212', '-'), NumberStyles.Float, CultureInfo.InvariantCulture, out value))
        {
            return place.Refuse($"\"{text}\" is no plain number.", $"Write a number {range} without a unit, such as {Sample}.");
        }

        if (value >= min && value <= max)
        {
            return true;
        }

        string percent = max <= 1 && value > 1 && value <= 100
            ? string.Create(CultureInfo.InvariantCulture, $"Did you mean {value / 100}? Shares are written as fractions.")
            : $"Write a number {range}.";
        return place.Refuse($"\"{text}\" is out of range.", $"{percent} {Meaning}");
    }
}
