using System.Globalization;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>One row's inputs by name, with words for what cannot be read.</summary>
internal sealed class CalcRow(Func<string, string?> cell)
{
    /// <summary>Text of an input, trimmed; empty when it has none.</summary>
    public string Text(string name) => cell(name)?.Trim() ?? "";

    /// <summary>Whether an input has any text.</summary>
    public bool Has(string name) => Text(name).Length > 0;

    /// <summary>A finite number inside its range.</summary>
    public double Number(string name, double least = double.MinValue, double most = double.MaxValue)
    {
        string text = Text(name);
        if (!double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) || !double.IsFinite(value))
        {
            throw new CalcException(text.Length == 0 ? $"{name} is empty" : $"{name} is no number: \"{text}\"");
        }

        return value >= least && value <= most
            ? value
            : throw new CalcException(string.Create(CultureInfo.InvariantCulture, $"{name} is {value}, allowed is {least} to {most}"));
    }

    /// <summary>A finite number above zero.</summary>
    public double Positive(string name) =>
        Number(name) is > 0 and var value ? value : throw new CalcException($"{name} must be above zero");

    /// <summary>A whole number inside its range: half a cell in series is a typing error, not a cell.</summary>
    public int Whole(string name, int least, int most) =>
        Number(name, least, most) is var value && value == Math.Floor(value) ? (int)value : throw new CalcException($"{name} must be a whole number");

    /// <summary>An instant in UTC, such as 2027-02-11T06:30:00Z.</summary>
    public Instant Time(string name) =>
        InstantPattern.ExtendedIso.Parse(Text(name)) is { Success: true, Value: var time }
            ? time
            : throw new CalcException($"{name} is no UTC time like 2027-02-11T06:30:00Z: \"{Text(name)}\"");

    /// <summary>A date, such as 2027-02-11.</summary>
    public LocalDate Date(string name) =>
        LocalDatePattern.Iso.Parse(Text(name)) is { Success: true, Value: var date }
            ? date
            : throw new CalcException($"{name} is no date like 2027-02-11: \"{Text(name)}\"");

    /// <summary>One of a few words; hyphens, underscores and case do not matter.</summary>
    public T Choice<T>(string name, params ReadOnlySpan<(string Word, T Value)> choices)
    {
        string text = Text(name);
        foreach ((string word, T value) in choices)
        {
            if (Plain(word) == Plain(text))
            {
                return value;
            }
        }

        var words = new List<string>();
        foreach ((string word, _) in choices)
        {
            words.Add(word);
        }

        throw new CalcException($"{name} must be one of {string.Join(", ", words)}{(text.Length == 0 ? ", and is empty" : $", not \"{text}\"")}");
    }

    private static string Plain(string text) => text.Replace("_", "", StringComparison.Ordinal).Replace("-", "", StringComparison.Ordinal).ToUpperInvariant();
}
