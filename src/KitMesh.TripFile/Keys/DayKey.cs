using System.Text.Json.Nodes;
using KitMesh.TripFile.Reading;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.TripFile.Keys;

/// <summary>A civil day, such as <c>2027-02-08</c> (ISO 8601).</summary>
internal sealed class DayKey(string name, string meaning, bool required = true) : TripKey<LocalDate>(name, meaning, required)
{
    private static readonly LocalDate Earliest = new(2000, 1, 1);
    private static readonly LocalDate Latest = new(2100, 12, 31);

    public override string Sample => "2027-02-08";

    public override string Fits => "year-month-day";

    public override JsonObject Schema() => new()
    {
        ["type"] = "string",
        ["pattern"] = "^20[0-9]{2}-[01][0-9]-[0-3][0-9]$|^2100-[01][0-9]-[0-3][0-9]$",
        ["description"] = Meaning,
        ["examples"] = new JsonArray(Sample),
    };

    protected override bool TryReadText(string text, KeyPlace place, out LocalDate value)
    {
        ParseResult<LocalDate> parsed = LocalDatePattern.Iso.Parse(text);
        value = parsed.Success ? parsed.Value : default;
        if (parsed.Success && value >= Earliest && value <= Latest)
        {
            return true;
        }

        return place.Refuse($"\"{text}\" is no day of this century.", $"Write year-month-day, such as {Sample}. {Meaning}");
    }
}
