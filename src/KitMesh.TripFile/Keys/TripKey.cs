using System.Text.Json.Nodes;
using KitMesh.TripFile.Reading;
using YamlDotNet.RepresentationModel;

namespace KitMesh.TripFile.Keys;

/// <summary>One key of a section: what it means, what fits it, and how an editor's schema says so.</summary>
internal abstract class TripKey(string name, string meaning, bool required)
{
    public string Name { get; } = name;

    /// <summary>One sentence.</summary>
    public string Meaning { get; } = meaning;

    public bool Required { get; } = required;

    /// <summary>A value that fits, for messages.</summary>
    public abstract string Sample { get; }

    /// <summary>What fits, for the documentation: range or words, and the value taken without the key.</summary>
    public abstract string Fits { get; }

    /// <summary>The key's JSON Schema.</summary>
    public abstract JsonObject Schema();
}

/// <summary>A key with a value of one type.</summary>
internal abstract class TripKey<T>(string name, string meaning, bool required) : TripKey(name, meaning, required)
{
    /// <summary>Reads the value, or adds an error and returns false.</summary>
    public bool TryRead(YamlNode node, KeyPlace place, [System.Diagnostics.CodeAnalysis.MaybeNullWhen(false)] out T value)
    {
        value = default;
        return node is YamlScalarNode { Value: { Length: > 0 } text } ? TryReadText(text, place, out value)
            : TryReadNode(node, place, out value);
    }

    protected abstract bool TryReadText(string text, KeyPlace place, [System.Diagnostics.CodeAnalysis.MaybeNullWhen(false)] out T value);

    protected virtual bool TryReadNode(YamlNode node, KeyPlace place, [System.Diagnostics.CodeAnalysis.MaybeNullWhen(false)] out T value)
    {
        value = default;
        return place.Refuse("A value is expected here.", $"Write it after the colon, such as \"{Name}: {Sample}\".");
    }
}
