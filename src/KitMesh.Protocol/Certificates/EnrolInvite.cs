using System.Diagnostics.CodeAnalysis;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Certificates;

/// <summary>What the picture beside a code says: where the hub is, which key it has, and the code.</summary>
/// <param name="Hub">The hub's address.</param>
/// <param name="Pin">The pin of its key.</param>
/// <param name="Code">The code.</param>
/// <remarks>Form: <c>kitmesh:enrol?hub=ADDRESS&amp;pin=PIN&amp;code=CODE</c>, percent-encoded. It is used once and for minutes.</remarks>
public sealed record EnrolInvite(Uri Hub, Sha256Hash Pin, EnrolCode Code)
{
    private const string Start = "kitmesh:enrol?";
    private const int MaxLength = 512;

    /// <summary>The text of the picture. Never log it.</summary>
    public string Reveal() => $"{Start}hub={Uri.EscapeDataString(Hub.GetLeftPart(UriPartial.Authority))}&pin={KeyPin.Text(Pin)}&code={Code.Reveal()}";

    /// <summary>Whether a text is meant as an invitation.</summary>
    /// <param name="text">The text.</param>
    public static bool Looks(string text) => text.TrimStart().StartsWith(Start, StringComparison.OrdinalIgnoreCase);

    /// <summary>Reads an invitation.</summary>
    /// <param name="text">The text of the picture.</param>
    /// <param name="invite">The invitation.</param>
    public static bool TryParse(string? text, [NotNullWhen(true)] out EnrolInvite? invite)
    {
        invite = null;
        if (text is null || text.Length > MaxLength || !Looks(text))
        {
            return false;
        }

        Dictionary<string, string> parts = new(StringComparer.Ordinal);
        foreach (string part in text.Trim()[Start.Length..].Split('&'))
        {
            string[] pair = part.Split('=', 2);
            if (pair.Length != 2 || !parts.TryAdd(pair[0], Uri.UnescapeDataString(pair[1])))
            {
                return false;
            }
        }

        if (!Uri.TryCreate(parts.GetValueOrDefault("hub"), UriKind.Absolute, out Uri? hub)
            || hub.Scheme != Uri.UriSchemeHttps
            || !KeyPin.TryParse(parts.GetValueOrDefault("pin"), out Sha256Hash pin)
            || !EnrolCode.TryParse(parts.GetValueOrDefault("code"), out EnrolCode? code))
        {
            return false;
        }

        invite = new EnrolInvite(hub, pin, code);
        return true;
    }

    /// <summary>Without the code.</summary>
    public override string ToString() => $"{Hub} {Code}";
}
