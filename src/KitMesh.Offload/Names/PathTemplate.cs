using System.Text;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Offload.Names;

/// <summary>Where a file of a card goes on a drive.</summary>
/// <remarks>
/// Fields: <c>{day}</c> the civil date of the file's last write, as the card tells it; <c>{source}</c> the camera or
/// recorder; <c>{card}</c> the card; <c>{path}</c> the path on the card, which must come last. A part whose fields are all
/// unknown is left out. FAT times are local and carry no zone, so the day is the camera's own.
/// </remarks>
public sealed class PathTemplate
{
    /// <summary>The template when none is given.</summary>
    public const string Standard = "{day}/{source}/{card}/{path}";

    private static readonly string[] Fields = ["{day}", "{source}", "{card}", "{path}"];

    private readonly string[] _parts;

    private PathTemplate(string[] parts) => _parts = parts;

    /// <summary>The standard template.</summary>
    public static PathTemplate Default { get; } = new(Standard.Split('/'));

    /// <summary>Reads a template.</summary>
    /// <param name="text">The text.</param>
    /// <param name="template">The template when the text is one.</param>
    /// <returns>What is wrong with the text; null when nothing is.</returns>
    public static string? TryParse(string text, out PathTemplate template)
    {
        template = Default;
        string[] parts = text.Split('/');
        if (parts[^1] != "{path}" || parts[..^1].Any(part => part.Contains("{path}", StringComparison.Ordinal)))
        {
            return "it must end with \"/{path}\", and have {path} only there";
        }

        foreach (string part in parts)
        {
            string rest = Fields.Aggregate(part, (left, field) => left.Replace(field, "", StringComparison.Ordinal));
            if (part.Length == 0 || part is "." or ".." || rest.AsSpan().ContainsAny('{', '}') || SafeName.Of(rest) != rest && rest.Length > 0)
            {
                return $"\"{part}\" is no folder name; fields are {string.Join(' ', Fields)}";
            }
        }

        template = new PathTemplate(parts);
        return null;
    }

    /// <summary>The path of a file on every drive, with '/' between its parts and each part safe.</summary>
    /// <param name="path">Its path on the card.</param>
    /// <param name="modified">Its last write, as the card tells it.</param>
    /// <param name="card">The card.</param>
    /// <param name="source">The camera or recorder, where known.</param>
    public string Place(string path, Instant modified, KitId card, KitId? source)
    {
        var placed = new StringBuilder();
        foreach (string part in _parts[..^1])
        {
            string name = part
                .Replace("{day}", LocalDatePattern.Iso.Format(modified.InUtc().Date), StringComparison.Ordinal)
                .Replace("{source}", source?.Value ?? "", StringComparison.Ordinal)
                .Replace("{card}", card.Value, StringComparison.Ordinal);
            if (name.Length > 0)
            {
                placed.Append(SafeName.Of(name)).Append('/');
            }
        }

        return placed.Append(SafeName.OfPath(path)).ToString();
    }
}
