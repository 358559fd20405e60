using System.Text;

namespace KitMesh.Disk.Media;

// The problem: a Linux file name is any bytes but '/' and 0; text is UTF-16. The trap: decoding replaces bytes that are
// no UTF-8 by U+FFFD, and then the file can never be opened again. The method: a byte that is no UTF-8 becomes one lone
// low surrogate, U+DC00 + byte, which no valid text contains, and goes back to the same byte.
// Source: M. von Löwis, PEP 383, "Non-decodable Bytes in System Character Interfaces", 2009.

/// <summary>File names as text that loses no byte.</summary>
public static class RawName
{
    private const char EscapeStart = '\uDC00';

    private static readonly UTF8Encoding Strict = new(false, throwOnInvalidBytes: true);

    /// <summary>A name from the bytes that the system gave.</summary>
    /// <param name="bytes">The bytes.</param>
    public static string FromBytes(ReadOnlySpan<byte> bytes)
    {
        var text = new StringBuilder(bytes.Length);
        Span<char> pair = stackalloc char[2];
        while (!bytes.IsEmpty)
        {
            if (Rune.DecodeFromUtf8(bytes, out Rune rune, out int used) == System.Buffers.OperationStatus.Done)
            {
                text.Append(pair[..rune.EncodeToUtf16(pair)]);
                bytes = bytes[used..];
            }
            else
            {
                text.Append((char)(EscapeStart + bytes[0]));
                bytes = bytes[1..];
            }
        }

        return text.ToString();
    }

    /// <summary>The bytes of a name or path, ended by a zero byte, for the system.</summary>
    /// <param name="text">A name or path; may carry escaped bytes.</param>
    /// <exception cref="ArgumentException">The text holds a zero character.</exception>
    public static byte[] ToBytes(string text)
    {
        if (text.Contains('\0', StringComparison.Ordinal))
        {
            throw new ArgumentException("A path cannot hold a zero character.", nameof(text));
        }

        if (IsPlain(text))
        {
            return Strict.GetBytes($"{text}\0");
        }

        var bytes = new List<byte>(text.Length + 1);
        for (int i = 0; i < text.Length; i++)
        {
            if (IsEscape(text, i))
            {
                bytes.Add((byte)(text[i] - EscapeStart));
            }
            else
            {
                int length = char.IsHighSurrogate(text[i]) ? 2 : 1;
                bytes.AddRange(Encoding.UTF8.GetBytes(text, i, length));
                i += length - 1;
            }
        }

        bytes.Add(0);
        return [.. bytes];
    }

    /// <summary>Whether the text has no escaped byte, so that any system can show and store it.</summary>
    /// <param name="text">A name or path.</param>
    public static bool IsPlain(string text)
    {
        for (int i = 0; i < text.Length; i++)
        {
            if (IsEscape(text, i))
            {
                return false;
            }
        }

        return true;
    }

    /// <summary>The text with each escaped byte written as '%' and two hexadecimal digits: fit to show and to store.</summary>
    /// <param name="text">A name or path.</param>
    public static string Shown(string text)
    {
        if (IsPlain(text))
        {
            return text;
        }

        var shown = new StringBuilder(text.Length + 8);
        for (int i = 0; i < text.Length; i++)
        {
            shown.Append(IsEscape(text, i) ? $"%{text[i] - EscapeStart:X2}" : text[i].ToString());
        }

        return shown.ToString();
    }

    private static bool IsEscape(string text, int at) =>
        char.IsLowSurrogate(text[at]) && (at == 0 || !char.IsHighSurrogate(text[at - 1]));
}
