using System.Text.Json;
using System.Text.Json.Nodes;
using Google.Protobuf;
using Google.Protobuf.WellKnownTypes;

namespace KitMesh.Cli.Asking;

/// <summary>A hub's answer as the JSON that commands print: its document, with the answer's own figures around it.</summary>
internal static class AnswerJson
{
    private static readonly JsonFormatter Formatter = new(JsonFormatter.Settings.Default.WithFormatDefaultValues(true));

    /// <summary>The answer.</summary>
    /// <param name="answer">The message; its field <c>document</c> is merged into the top level.</param>
    /// <param name="document">The document; null when the hub sent none.</param>
    /// <param name="keep">Fields of the message that are kept beside the document.</param>
    public static JsonObject Of(IMessage answer, Struct? document, params string[] keep)
    {
        var all = (JsonObject)JsonNode.Parse(Formatter.Format(answer))!;
        if (document is null || document.Fields.Count == 0)
        {
            all.Remove("document");
            return all;
        }

        var merged = new JsonObject();
        foreach (string name in keep)
        {
            if (all.TryGetPropertyValue(name, out JsonNode? value))
            {
                merged[name] = value?.DeepClone();
            }
        }

        var inner = (JsonObject)JsonNode.Parse(Formatter.Format(document))!;
        foreach ((string name, JsonNode? value) in inner)
        {
            merged[name] = value?.DeepClone();
        }

        return merged;
    }

    /// <summary>The text of one line.</summary>
    public static string Line(JsonNode node) => node.ToJsonString(new JsonSerializerOptions { Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping });
}
