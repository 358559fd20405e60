using NodaTime;

namespace KitMesh.Footage.Clips;

/// <summary>When a recording ran, by what it tells of itself.</summary>
/// <param name="Path">Its path, for people.</param>
/// <param name="Device">What wrote it, or the card it is on: recordings of one device share a clock.</param>
/// <param name="IsSound">True for sound alone.</param>
/// <param name="Start">When it began, by the device's clock.</param>
/// <param name="Length">How long it runs.</param>
/// <param name="Timecode">Timecode of its start, since midnight; null when it has none.</param>
public sealed record ClipTimes(string Path, string Device, bool IsSound, Instant Start, Duration Length, Duration? Timecode)
{
    /// <summary>The times of a recording, where it tells them.</summary>
    /// <param name="path">Its path.</param>
    /// <param name="device">What wrote it, or its card.</param>
    /// <param name="structure">What it tells.</param>
    /// <returns>The times; null when it does not tell start and length.</returns>
    public static ClipTimes? Of(string path, string device, ClipStructure structure)
    {
        ArgumentNullException.ThrowIfNull(structure);
        bool sound = structure.Kind == ClipKind.Wave || System.IO.Path.GetExtension(path).Equals(".m4a", StringComparison.OrdinalIgnoreCase);
        return structure is { Recorded: { } start, Length: { } length } && length > Duration.Zero
            ? new ClipTimes(path, device, sound, start, length, ParseTimecode(structure.Timecode))
            : null;
    }

    /// <summary>Reads a timecode to the second; frames are left out, since rates differ between devices.</summary>
    /// <param name="text">Hours, minutes, seconds and perhaps frames, with ':' or ';' between.</param>
    public static Duration? ParseTimecode(string? text)
    {
        string[] parts = (text ?? "").Split(':', ';');
        return parts.Length >= 3
            && int.TryParse(parts[0], out int hours) && int.TryParse(parts[1], out int minutes) && int.TryParse(parts[2], out int seconds)
            && hours is >= 0 and < 24 && minutes is >= 0 and < 60 && seconds is >= 0 and < 60
                ? Duration.FromSeconds((((hours * 60L) + minutes) * 60) + seconds)
                : null;
    }
}
