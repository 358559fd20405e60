using System.Globalization;
using System.Text.Json.Nodes;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>A whole number.</summary>
internal sealed class WholeKey(string name, int min, int max, int sample, string meaning, int? standard = null)
    : TripKey<int>(name, meaning, standard is null)
{
    public override string Sample => sample.ToString(CultureInfo.InvariantCulture);

    /// <summary>The value taken without the key.</summary>
    public int Standard => standard ?? throw new InvalidOperationException($"{Name} has no default.");

    public override string Fits => string.Create(CultureInfo.InvariantCulture, $"whole, {min} to {max}{(standard is { } value ? $"; {value}" : "")}");

    public override JsonObject Schema()
    {
        var schema = new JsonObject
        {
            ["type"] = "integer",
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

    protected override bool TryReadText(string text, KeyPlace place, out int value) =>
        (int.TryParse(text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out value) && value >= min && value <= max)
        || place.Refuse($"\"{text}\" does not fit.", string.Create(CultureInfo.InvariantCulture, $"Write a whole number from {min} to {max}. {Meaning}"));
}
