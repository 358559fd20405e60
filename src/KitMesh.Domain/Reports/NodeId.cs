using System.Diagnostics.CodeAnalysis;

namespace KitMesh.Domain.Reports;

/// <summary>Names one agent, hub or page: 1 to 63 characters of a-z, 0-9 and inner hyphens (a DNS label, RFC 1123).</summary>
public readonly record struct NodeId : IComparable<NodeId>
{
    private readonly string? _value;

    private NodeId(string value) => _value = value;

    /// <summary>The name.</summary>
    public string Value => _value ?? "";

    /// <summary>A node id from text.</summary>
    /// <param name="text">The name.</param>
    /// <exception cref="FormatException">The text is no node id.</exception>
    public static NodeId Parse(string text) =>
        TryParse(text, out NodeId id) ? id : throw new FormatException($"\"{text}\" is no node id: use 1 to 63 characters of a-z, 0-9 and inner hyphens.");

    /// <summary>A node id from text that may be wrong.</summary>
    /// <param name="text">The name.</param>
    /// <param name="id">The id when the text is one.</param>
    public static bool TryParse([NotNullWhen(true)] string? text, out NodeId id)
    {
        id = default;
        if (text is not { Length: >= 1 and <= 63 } || text[0] == '-' || text[^1] == '-')
        {
            return false;
        }

        foreach (char c in text)
        {
            if (c is not ((>= 'a' and <= 'z') or (>= '0' and <= '9') or '-'))
            {
                return false;
            }
        }

        id = new NodeId(text);
        return true;
    }

    /// <inheritdoc/>
    public int CompareTo(NodeId other) => string.CompareOrdinal(Value, other.Value);

    /// <inheritdoc/>
    public override string ToString() => Value;
}
