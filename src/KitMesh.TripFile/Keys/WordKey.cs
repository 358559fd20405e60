using KitMesh.Domain;
using System.Text.Json.Nodes;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Keys;

/// <summary>One word of a closed list.</summary>
internal sealed class WordKey<T>(string name, string meaning, string? standard, params (string Word, T Value)[] words)
    : TripKey<T>(name, meaning, standard is null)
{
    public override string Sample => words[0].Word;

    /// <summary>The value taken without the key.</summary>
    public T Standard => Array.Find(words, word => word.Word == standard).Value;

    public override string Fits => $"{string.Join(", ", words.Select(word => word.Word))}{(standard is null ? "" : $"; {standard}")}";

    public override JsonObject Schema()
    {
        var schema = new JsonObject
        {
            ["enum"] = new JsonArray([.. words.Select(word => JsonValue.Create(word.Word))]),
            ["description"] = Meaning,
        };
        if (standard is not null)
        {
            schema["default"] = standard;
        }

        return schema;
    }

    protected override bool TryReadText(string text, KeyPlace place, [System.Diagnostics.CodeAnalysis.MaybeNullWhen(false)] out T value)
    {
        foreach ((string word, T meant) in words)
        {
            if (word == text)
            {
                value = meant;
                return true;
            }
        }

        value = default;
        string list = string.Join(", ", words.Select(word => word.Word));
        string mend = NearestWord.To(text, words.Select(word => word.Word)) is { } near ? $"Did you mean \"{near}\"? Known: {list}." : $"Write one of: {list}.";
        return place.Refuse($"\"{text}\" is not known here.", mend);
    }
}
