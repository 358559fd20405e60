using System.Text.Json.Nodes;
using KitMesh.Domain.Reports;

namespace KitMesh.TripFile.Keys;

/// <summary>The schema of a kit name.</summary>
internal static class KitNameSchema
{
    public static JsonObject Of(string meaning, string sample) => new()
    {
        ["type"] = "string",
        ["minLength"] = 1,
        ["maxLength"] = KitId.MaxLength,
        ["description"] = meaning,
        ["examples"] = new JsonArray(sample),
    };
}
