using System.Text.Json.Nodes;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>The node name of a hub, which no section declares.</summary>
internal sealed class HubKey(string name, string sample, string meaning) : TripKey<NodeId>(name, meaning, required: true)
{
    public override string Sample => sample;

    public override string Fits => "a-z, 0-9, inner hyphens, at most 63";

    public override JsonObject Schema() => new()
    {
        ["type"] = "string",
        ["pattern"] = "^[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?$",
        ["description"] = Meaning,
        ["examples"] = new JsonArray(sample),
    };

    protected override bool TryReadText(string text, KeyPlace place, out NodeId value) =>
        NodeId.TryParse(text, out value)
        || place.Refuse($"\"{text}\" is no node name.", $"Use 1 to 63 characters of a-z, 0-9 and inner hyphens, such as {sample}.");
}
