using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>A number with its unit, such as <c>280 Ah</c>. The unit is part of what is written, so that it cannot be guessed wrong.</summary>
internal sealed class QuantityKey(
    string name,
    UnitFamily family,
    double min,
    double max,
    double sample,
    string meaning,
    bool required = true,
    double? standard = null) : TripKey<double>(name, meaning, required && standard is null)
{
    public override string Sample => Show(sample);

    /// <summary>The value taken without the key.</summary>
    public double Standard => standard ?? throw new InvalidOperationException($"{Name} has no default.");

    public override string Fits =>
        $"{Show(min)} to {Show(max)}{(standard is { } value ? $"; {Show(value)}" : "")}; in {string.Join(", ", family.Units)}";

    public override JsonObject Schema()
    {
        string units = string.Join('|', family.Units.Select(Regex.Escape));
        string range = $"From {Show(min)} to {Show(max)}.{(standard is { } value ? $" Without the key: {Show(value)}." : "")}";
        return new JsonObject
        {
            ["type"] = "string",
            ["pattern"] = $"^[+-]?([0-9]+\\.?[0-9]*|\\.[0-9]+) *({units})$",
            ["description"] = $"{Meaning} {range}",
            ["examples"] = new JsonArray(Sample),
        };
    }

    protected override bool TryReadText(string text, KeyPlace place, out double value)
    {
        value = 0;
        (string digits, string unit) = Split(text);
        if (!double.TryParse(digits, NumberStyles.Float & ~NumberStyles.AllowExponent, CultureInfo.InvariantCulture, out double number))
        {
            return place.Refuse($"\"{text}\" is no number with a unit.", $"Write {family.Words} such as {Sample}.");
        }

        if (family.FactorOf(unit) is not { } factor)
        {
            return RefuseUnit(text, number, unit, place);
        }

        value = number * factor;
        if (value >= min && value <= max)
        {
            return true;
        }

        return place.Refuse($"\"{text}\" is out of range.", $"Write {family.Words} from {Show(min)} to {Show(max)}. {Meaning}");
    }

    private bool RefuseUnit(string text, double number, string unit, KeyPlace place)
    {
        string digits = number.ToString(CultureInfo.InvariantCulture);
        if (unit.Length == 0)
        {
            return place.Refuse($"\"{text}\" has no unit.", $"Did you mean \"{digits} {family.Unit}\"? {Meaning}");
        }

        if (UnitFamily.Of(unit) is not { } other)
        {
            return place.Refuse($"\"{unit}\" is no unit that fits here.", $"Write it in {string.Join(" or ", family.Units)}, such as {Sample}.");
        }

        string guess = (family, other) switch
        {
            (var wanted, var got) when wanted == UnitFamily.Charge && got == UnitFamily.Energy =>
                $"Did you mean {digits} Ah, or is it {text} of energy? Divide Wh by the pack's nominal volts to get Ah.",
            (var wanted, var got) when wanted == UnitFamily.Energy && got == UnitFamily.Charge =>
                $"Did you mean {digits} Wh, or is it {text} of charge? Multiply Ah by the battery's nominal volts to get Wh.",
            (var wanted, var got) when wanted == UnitFamily.Energy && got == UnitFamily.Power =>
                "Did you mean the energy of a day? Multiply the watts by the hours it runs.",
            _ => $"Write it in {string.Join(" or ", family.Units)}, such as {Sample}.",
        };
        return place.Refuse($"\"{text}\" is {other.Words}, and this key takes {family.Words}.", guess);
    }

    private static (string Digits, string Unit) Split(string text)
    {
        int end = 0;
        while (end < text.Length && (char.IsAsciiDigit(text[end]) || text[end] is '+' or '-' or '.' or '\u2212'))
        {
            end++;
        }

        // A typographic minus comes with text pasted from a document.
        return (text[..end].Replace('\u2212', '-'), text[end..].Trim());
    }

    private string Show(double value) =>
        family == UnitFamily.Size && value >= 1e12
            ? string.Create(CultureInfo.InvariantCulture, $"{value / 1e12:0.######} TB")
            : string.Create(CultureInfo.InvariantCulture, $"{value / family.UnitFactor:0.######} {family.Unit}");
}
