using System.Buffers;
using System.Text;

namespace KitMesh.Offload.Names;

// The problem: one name must be storable on every drive that a crew carries (ext4, exFAT, NTFS, APFS), so that copies lie
// under the same path everywhere. The trap: exFAT and FAT refuse " * : < > ? \ | and control characters, and drop blanks
// and dots at the end of a name; some systems reserve names such as CON. The method: replace what any of them refuses by
// '_', and leave everything else, letter case included, as it was.
// Source: Microsoft, "Naming Files, Paths, and Namespaces"; exFAT file system specification, section 7.7.3.

/// <summary>File names that every common file system takes.</summary>
public static class SafeName
{
    /// <summary>The longest name, in UTF-8 bytes, that common file systems take.</summary>
    public const int MaxBytes = 255;

    private static readonly SearchValues<char> Refused = SearchValues.Create("\"*:<>?\\|/");

    private static readonly HashSet<string> Reserved = new(StringComparer.OrdinalIgnoreCase)
    {
        "CON", "PRN", "AUX", "NUL",
        "COM1", "COM2", "COM3", "COM4", "COM5", "COM6", "COM7", "COM8", "COM9",
        "LPT1", "LPT2", "LPT3", "LPT4", "LPT5", "LPT6", "LPT7", "LPT8", "LPT9",
    };

    /// <summary>A name made safe; the same name when it already is.</summary>
    /// <param name="name">One part of a path.</param>
    public static string Of(string name)
    {
        var safe = new StringBuilder(name.Length);
        foreach (char c in name)
        {
            safe.Append(Refused.Contains(c) || char.IsControl(c) ? '_' : c);
        }

        for (int i = safe.Length - 1; i >= 0 && safe[i] is '.' or ' '; i--)
        {
            safe[i] = '_';
        }

        string text = safe.Length == 0 ? "_" : safe.ToString();
        int dot = text.IndexOf('.', StringComparison.Ordinal);
        string stem = dot < 0 ? text : text[..dot];
        return Shorten(Reserved.Contains(stem) ? $"_{text}" : text, "");
    }

    /// <summary>A path whose parts are all made safe.</summary>
    /// <param name="path">Parts with '/' between.</param>
    public static string OfPath(string path) => string.Join('/', path.Split('/').Where(part => part.Length > 0).Select(Of));

    /// <summary>The name with a mark before its extension: <c>C0001.MP4</c> and <c>9f2c</c> give <c>C0001~9f2c.MP4</c>.</summary>
    /// <param name="path">A path; its last part is marked.</param>
    /// <param name="mark">The mark.</param>
    public static string Marked(string path, string mark)
    {
        int slash = path.LastIndexOf('/');
        return path[..(slash + 1)] + Shorten(path[(slash + 1)..], $"~{mark}");
    }

    private static string Shorten(string name, string mark)
    {
        int dot = name.LastIndexOf('.');
        string extension = dot > 0 && name.Length - dot <= 17 ? name[dot..] : "";
        string stem = name[..^extension.Length];
        int room = MaxBytes - Encoding.UTF8.GetByteCount(mark) - Encoding.UTF8.GetByteCount(extension);
        while (Encoding.UTF8.GetByteCount(stem) > room)
        {
            stem = stem[..^(char.IsLowSurrogate(stem[^1]) ? 2 : 1)];
        }

        return stem + mark + extension;
    }
}
