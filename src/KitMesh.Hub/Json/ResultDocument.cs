using System.Text.Json;
using Google.Protobuf.WellKnownTypes;

namespace KitMesh.Hub.Json;

/// <summary>A result as the free-form document of an answer: the same JSON that commands print.</summary>
internal static class ResultDocument
{
    /// <summary>The document of a value.</summary>
    public static Struct Of(object value) => ToStruct(JsonSerializer.SerializeToElement(value, value.GetType(), ResultJson.Options));

    private static Struct ToStruct(JsonElement element)
    {
        var document = new Struct();
        foreach (JsonProperty property in element.EnumerateObject())
        {
            document.Fields.Add(property.Name, ToValue(property.Value));
        }

        return document;
    }

    private static Value ToValue(JsonElement element) => element.ValueKind switch
    {
        JsonValueKind.Object => Value.ForStruct(ToStruct(element)),
        JsonValueKind.Array => Value.ForList([.. element.EnumerateArray().Select(ToValue)]),
        JsonValueKind.String => Value.ForString(element.GetString()),
        JsonValueKind.Number => Value.ForNumber(element.GetDouble()),
        JsonValueKind.True => Value.ForBool(true),
        JsonValueKind.False => Value.ForBool(false),
        _ => Value.ForNull(),
    };
}
