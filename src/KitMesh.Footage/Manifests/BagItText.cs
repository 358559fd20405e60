using System.Globalization;
using System.Text;

namespace KitMesh.Footage.Manifests;

/// <summary>The text files of a bag.</summary>
/// <remarks>
/// Source: J. Kunze, J. Littman, E. Madden, J. Scancella, C. Adams, "The BagIt File Packaging Format (V1.0)", RFC 8493,
/// October 2018. Of a path only CR, LF and '%' are percent-encoded (section 2.1.3); a version 1.0 manifest names every
/// payload file exactly once; SHA-512 is the default.
/// </remarks>
public static class BagItText
{
    /// <summary>The declaration's file.</summary>
    public const string DeclarationFile = "bagit.txt";

    /// <summary>The folder of the payload.</summary>
    public const string PayloadFolder = "data";

    /// <summary>The declaration: exactly two lines.</summary>
    public const string Declaration = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";

    /// <summary>Algorithms that are known here, by the names that files bear; the first is the default.</summary>
    public static IReadOnlyList<string> Algorithms { get; } = ["sha512", "sha256", "sha1", "md5"];

    /// <summary>The name of a payload manifest.</summary>
    /// <param name="algorithm">One of <see cref="Algorithms"/>.</param>
    public static string ManifestFile(string algorithm) => $"manifest-{algorithm}.txt";

    /// <summary>The name of a tag manifest.</summary>
    /// <param name="algorithm">One of <see cref="Algorithms"/>.</param>
    public static string TagManifestFile(string algorithm) => $"tagmanifest-{algorithm}.txt";

    /// <summary>A manifest's text.</summary>
    /// <param name="entries">Path from the bag's folder, and hash.</param>
    /// <exception cref="ArgumentException">A path leads out of the bag, or stands twice.</exception>
    public static string Manifest(IEnumerable<BagItEntry> entries)
    {
        var text = new StringBuilder();
        HashSet<string> seen = new(StringComparer.Ordinal);
        foreach (BagItEntry entry in entries)
        {
            if (!MhlManifest.IsPathAllowed(entry.Path) || !seen.Add(entry.Path))
            {
                throw new ArgumentException($"\"{entry.Path}\" leads out of the bag or stands twice.", nameof(entries));
            }

            text.Append(entry.Hash.ToLowerInvariant()).Append("  ").Append(Encode(entry.Path)).Append('\n');
        }

        return text.ToString();
    }

    /// <summary>Reads a manifest.</summary>
    /// <param name="text">Its text.</param>
    /// <param name="wrong">What is wrong with it; empty when nothing is.</param>
    /// <returns>Its entries; null when it is not sound.</returns>
    public static IReadOnlyList<BagItEntry>? ParseManifest(string text, out string wrong)
    {
        wrong = "";
        List<BagItEntry> entries = [];
        HashSet<string> seen = new(StringComparer.Ordinal);
        int number = 0;
        foreach (string line in text.ReplaceLineEndings("\n").Split('\n').Where(line => line.Length > 0))
        {
            number++;
            int blank = line.IndexOfAny([' ', '\t']);
            string path = blank < 1 ? "" : Decode(line[blank..].TrimStart(' ', '\t', '*'));
            path = path.StartsWith("./", StringComparison.Ordinal) ? path[2..] : path;
            string hash = blank < 1 ? "" : line[..blank];
            if (!MhlManifest.IsPathAllowed(path) || hash.Any(c => !char.IsAsciiHexDigit(c)))
            {
                wrong = string.Create(CultureInfo.InvariantCulture, $"line {number} is no hash and path inside the bag: {line}");
                return null;
            }

            if (!seen.Add(path))
            {
                wrong = string.Create(CultureInfo.InvariantCulture, $"line {number} names {path} a second time");
                return null;
            }

            entries.Add(new BagItEntry(path, hash.ToLowerInvariant()));
        }

        return entries;
    }

    /// <summary>The text of bag-info.txt, with the payload's size and count.</summary>
    /// <param name="bytes">Bytes of all payload files.</param>
    /// <param name="files">Number of payload files.</param>
    /// <param name="more">Further labels and values, such as Source-Organization; line ends in values are folded to blanks.</param>
    public static string Info(long bytes, int files, IEnumerable<(string Label, string Value)> more)
    {
        var text = new StringBuilder();
        foreach ((string label, string value) in more)
        {
            text.Append(label).Append(": ").Append(value.ReplaceLineEndings(" ")).Append('\n');
        }

        return text.Append(CultureInfo.InvariantCulture, $"Payload-Oxum: {bytes}.{files}\n").ToString();
    }

    /// <summary>The size and count that bag-info.txt tells; null when it tells none, or more than one.</summary>
    /// <param name="info">The text of bag-info.txt.</param>
    public static (long Bytes, long Files)? Oxum(string info)
    {
        const string Label = "Payload-Oxum:";
        List<string> told = [.. info.ReplaceLineEndings("\n").Split('\n').Where(line => line.StartsWith(Label, StringComparison.OrdinalIgnoreCase))];
        string[] parts = told.Count == 1 ? told[0][Label.Length..].Trim().Split('.') : [];
        return parts.Length == 2
            && long.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out long bytes)
            && long.TryParse(parts[1], NumberStyles.None, CultureInfo.InvariantCulture, out long files)
                ? (bytes, files)
                : null;
    }

    /// <summary>Whether a declaration is one that can be read here.</summary>
    /// <param name="text">The text of bagit.txt.</param>
    /// <returns>What is wrong; null when nothing is.</returns>
    public static string? DeclarationFault(string text)
    {
        string[] lines = text.ReplaceLineEndings("\n").TrimEnd('\n').Split('\n');
        if (text.StartsWith('\uFEFF'))
        {
            return "bagit.txt begins with a byte order mark";
        }

        return lines.Length == 2
            && lines[0] is "BagIt-Version: 1.0" or "BagIt-Version: 0.97"
            && lines[1] == "Tag-File-Character-Encoding: UTF-8"
                ? null
                : "bagit.txt is not the two lines of version 1.0 or 0.97 in UTF-8";
    }

    /// <summary>A path as a manifest writes it.</summary>
    /// <param name="path">The path.</param>
    public static string Encode(string path) =>
        path.Replace("%", "%25", StringComparison.Ordinal).Replace("\r", "%0D", StringComparison.Ordinal).Replace("\n", "%0A", StringComparison.Ordinal);

    /// <summary>A path as a manifest means it.</summary>
    /// <param name="text">The path as written.</param>
    public static string Decode(string text) => text
        .Replace("%0D", "\r", StringComparison.OrdinalIgnoreCase)
        .Replace("%0A", "\n", StringComparison.OrdinalIgnoreCase)
        .Replace("%25", "%", StringComparison.Ordinal);
}
