using System.Text.Json.Nodes;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>A name that must be there and that may stand twice.</summary>
internal sealed class AnyNameKey(string sample, string meaning) : TripKey<KitId>("name", meaning, required: true)
{
    public override string Sample => sample;

    public override string Fits => string.Create(System.Globalization.CultureInfo.InvariantCulture, $"1 to {KitId.MaxLength} characters");

    public override JsonObject Schema() => KitNameSchema.Of(Meaning, sample);

    protected override bool TryReadText(string text, KeyPlace place, out KitId value) =>
        KitId.TryParse(text, out value)
        || place.Refuse($"\"{text}\" is no name.", $"Use 1 to {KitId.MaxLength} printable characters without blanks at the ends.");
}
