using System.Text.Json.Nodes;
using KitMesh.TripFile.Reading;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.TripFile.Keys;

/// <summary>An offset from UTC, such as <c>"+06:00"</c>.</summary>
internal sealed class ZoneKey(string name, string meaning) : TripKey<Offset>(name, meaning, required: true)
{
    private static readonly OffsetPattern Pattern = OffsetPattern.CreateWithInvariantCulture("+HH:mm");

    public override string Sample => "\"+06:00\"";

    public override string Fits => "-14:00 to +14:00, in quotes";

    public override JsonObject Schema() => new()
    {
        ["type"] = "string",
        ["pattern"] = "^[+-](0[0-9]|1[0-4]):[0-5][0-9]$",
        ["description"] = Meaning,
        ["examples"] = new JsonArray("+06:00"),
    };

    protected override bool TryReadText(string text, KeyPlace place, out Offset value)
    {
        ParseResult<Offset> parsed = Pattern.Parse(text.Replace('\u2212', '-'));
        value = parsed.Success ? parsed.Value : default;
        return (parsed.Success && Math.Abs(value.Seconds) <= 14 * 3600)
            || place.Refuse($"\"{text}\" is no offset from UTC.", $"Write a sign, hours and minutes in quotes, such as {Sample}. Names of zones are not used: off grid nobody changes clocks half-way.");
    }
}
