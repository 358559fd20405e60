using System.Text.Json;
using System.Text.Json.Nodes;
using KitMesh.TripFile.Sections;

namespace KitMesh.TripFile;

/// <summary>The JSON Schema (draft 2020-12) of trip files, written from the same keys that the reader uses.</summary>
public static class TripSchema
{
    private static readonly JsonSerializerOptions Indented = new()
    {
        WriteIndented = true,
        Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    /// <summary>The schema's text, as shipped in deploy/trip.schema.json.</summary>
    public static string Write()
    {
        var properties = new JsonObject();
        foreach (Section section in SectionCatalogue.All)
        {
            properties[section.Name] = section.Schema();
        }

        var schema = new JsonObject
        {
            ["$schema"] = "https://json-schema.org/draft/2020-12/schema",
            ["title"] = "KitMesh trip file",
            ["description"] = "Declares teams, dates, places, kit and rules of one trip. Quantities are written with their unit.",
            ["type"] = "object",
            ["additionalProperties"] = false,
            ["required"] = new JsonArray([.. SectionCatalogue.All.Where(section => section.Required).Select(section => JsonValue.Create(section.Name))]),
            ["properties"] = properties,
        };
        return schema.ToJsonString(Indented).ReplaceLineEndings("\n") + "\n";
    }
}
