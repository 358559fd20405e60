using System.Buffers.Binary;

namespace KitMesh.Footage.Clips;

/// <summary>Looks into a file's structure, whatever its name says.</summary>
public static class ClipInspection
{
    private static readonly HashSet<string> IsoExtensions = new(StringComparer.OrdinalIgnoreCase) { ".mp4", ".mov", ".m4v", ".m4a", ".3gp" };
    private static readonly HashSet<string> WaveExtensions = new(StringComparer.OrdinalIgnoreCase) { ".wav", ".bwf", ".rf64" };

    /// <summary>Whether a name is one whose structure is looked into.</summary>
    /// <param name="path">The name.</param>
    public static bool Knows(string path) => IsoExtensions.Contains(Path.GetExtension(path)) || WaveExtensions.Contains(Path.GetExtension(path));

    /// <summary>Looks into a file.</summary>
    /// <param name="path">Its name; an extension that promises a kind makes a file of zeros a damaged one.</param>
    /// <param name="bytes">Its bytes.</param>
    public static ClipStructure Inspect(string path, IClipBytes bytes)
    {
        if (!Knows(path))
        {
            return ClipStructure.Unknown;
        }

        if (bytes.Length < 8)
        {
            ClipKind promised = IsoExtensions.Contains(Path.GetExtension(path)) ? ClipKind.IsoMedia : ClipKind.Wave;
            string damage = bytes.Length == 0 ? "the file is empty: the recording was never written" : "the file is shorter than any header";
            return new ClipStructure(promised, damage, null, null, null);
        }

        Span<byte> head = stackalloc byte[12];
        int got = bytes.Read(0, head);
        if (got == 12 && Is(head, "RIFF", "RF64", "BW64") && Is(head[8..], "WAVE"))
        {
            return WaveStructure.Inspect(bytes);
        }

        if (got >= 8 && Is(head[4..], "ftyp", "moov", "mdat", "free", "wide", "skip", "pnot"))
        {
            return IsoMediaStructure.Inspect(bytes);
        }

        // Another kind under a known extension passes; nothing but zeros does not.
        return got > 0 && head[..got].IndexOfAnyExcept((byte)0) < 0
            ? new ClipStructure(ClipKind.Unknown, "it begins with zeros where a recording has its header", null, null, null)
            : ClipStructure.Unknown;
    }

    /// <summary>Whether four bytes are one of some tags.</summary>
    /// <param name="bytes">At least four bytes.</param>
    /// <param name="tags">Tags of four letters.</param>
    internal static bool Is(ReadOnlySpan<byte> bytes, params ReadOnlySpan<string> tags)
    {
        uint tag = BinaryPrimitives.ReadUInt32BigEndian(bytes);
        foreach (string known in tags)
        {
            if (tag == Tag(known))
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>Four letters as one number.</summary>
    /// <param name="letters">The letters.</param>
    internal static uint Tag(string letters) => ((uint)letters[0] << 24) | ((uint)letters[1] << 16) | ((uint)letters[2] << 8) | letters[3];
}
