using System.Text.Json.Nodes;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>A label that nothing declares, such as the batch that drives were bought in.</summary>
internal sealed class LabelKey(string name, string sample, string meaning) : TripKey<KitId>(name, meaning, required: false)
{
    public override string Sample => sample;

    public override string Fits => string.Create(System.Globalization.CultureInfo.InvariantCulture, $"1 to {KitId.MaxLength} characters");

    public override JsonObject Schema() => KitNameSchema.Of(Meaning, sample);

    protected override bool TryReadText(string text, KeyPlace place, out KitId value) =>
        KitId.TryParse(text, out value)
        || place.Refuse($"\"{text}\" is no label.", $"Use 1 to {KitId.MaxLength} printable characters without blanks at the ends.");
}
