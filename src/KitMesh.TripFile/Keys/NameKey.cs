using System.Text.Json.Nodes;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>The name that an entry declares, as it stands on the tape stuck to the thing.</summary>
internal sealed class NameKey(KitKind kind, string sample) : TripKey<KitId>("name", "Its name, as on the tape stuck to it; unique within its section.", required: true)
{
    public override string Sample => sample;

    public override string Fits => string.Create(System.Globalization.CultureInfo.InvariantCulture, $"1 to {KitId.MaxLength} characters");

    public override JsonObject Schema() => KitNameSchema.Of(Meaning, sample);

    protected override bool TryReadText(string text, KeyPlace place, out KitId value)
    {
        if (!KitId.TryParse(text, out value))
        {
            return place.Refuse($"\"{text}\" is no name.", $"Use 1 to {KitId.MaxLength} printable characters without blanks at the ends.");
        }

        place.Entry.Ledger.Declare(kind, value, place.Line, place.Path);
        return true;
    }
}
