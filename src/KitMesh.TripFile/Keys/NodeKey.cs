using System.Text.Json.Nodes;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>The name of a node. That of an agent is declared by it, so that no two agents get one; hubs are declared nowhere.</summary>
internal sealed class NodeKey(string name, string sample, string meaning, bool isHub = false) : TripKey<NodeId>(name, meaning, required: true)
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

    protected override bool TryReadText(string text, KeyPlace place, out NodeId value)
    {
        if (!NodeId.TryParse(text, out value))
        {
            return place.Refuse($"\"{text}\" is no node name.", $"Use 1 to 63 characters of a-z, 0-9 and inner hyphens, such as {sample}.");
        }

        if (!isHub)
        {
            place.Entry.Ledger.Declare(KitKind.WatchedAgent, KitId.Parse(value.Value), place.Line, place.Path);
        }

        return true;
    }
}
