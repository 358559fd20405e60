using System.Diagnostics.CodeAnalysis;

namespace KitMesh.Domain.Reports;

/// <summary>Names one thing of the trip: a pack, a drive, a case, a team. 1 to 100 printable characters, as typed.</summary>
/// <remarks>
/// People write these on tape and stick them on gear, so any letters are allowed; control characters are not,
/// and comparison is ordinal.
/// </remarks>
public readonly record struct KitId : IComparable<KitId>
{
    /// <summary>The most characters a name may have.</summary>
    public const int MaxLength = 100;

    private readonly string? _value;

    private KitId(string value) => _value = value;

    /// <summary>The name; empty only for <c>default</c>.</summary>
    public string Value => _value ?? "";

    /// <summary>A kit id from text.</summary>
    /// <param name="text">The name.</param>
    /// <exception cref="FormatException">The text is no kit id.</exception>
    public static KitId Parse(string text) =>
        TryParse(text, out KitId id) ? id : throw new FormatException($"\"{text}\" is no kit name: use 1 to {MaxLength} printable characters without blanks at the ends.");

    /// <summary>A kit id from text that may be wrong.</summary>
    /// <param name="text">The name.</param>
    /// <param name="id">The id when the text is one.</param>
    public static bool TryParse([NotNullWhen(true)] string? text, out KitId id)
    {
        id = default;
        if (text is not { Length: >= 1 and <= MaxLength } || char.IsWhiteSpace(text[0]) || char.IsWhiteSpace(text[^1]) || text.Any(char.IsControl))
        {
            return false;
        }

        id = new KitId(text);
        return true;
    }

    /// <inheritdoc/>
    public int CompareTo(KitId other) => string.CompareOrdinal(Value, other.Value);

    /// <inheritdoc/>
    public override string ToString() => Value;
}
