using System.Text.Json.Nodes;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>The name of something that another entry declares.</summary>
internal sealed class UseKey(string name, string sample, string meaning, bool required, params KitKind[] kinds) : TripKey<KitId>(name, meaning, required)
{
    public override string Sample => sample;

    public override string Fits => $"a name under {string.Join(" or ", kinds.Select(KindWords.Section))}";

    public override JsonObject Schema() => KitNameSchema.Of(Meaning, sample);

    protected override bool TryReadText(string text, KeyPlace place, out KitId value)
    {
        if (!KitId.TryParse(text, out value))
        {
            return place.Refuse($"\"{text}\" is no name.", $"Use 1 to {KitId.MaxLength} printable characters without blanks at the ends.");
        }

        place.Entry.Ledger.Use(place.Line, place.Path, value, kinds);
        return true;
    }
}
