using NodaTime;

namespace KitMesh.Footage.Clips;

/// <summary>What a media file tells of itself.</summary>
/// <param name="Kind">What it was recognised as.</param>
/// <param name="Damage">What is wrong with its structure, in words; null when sound or of an unknown kind.</param>
/// <param name="Recorded">When the recording began by the device's own clock, where told.</param>
/// <param name="Length">How long it runs, where told.</param>
/// <param name="Timecode">Timecode of its first frame, where told.</param>
public sealed record ClipStructure(ClipKind Kind, string? Damage, Instant? Recorded, Duration? Length, string? Timecode)
{
    /// <summary>A file of a kind that is not known here.</summary>
    public static readonly ClipStructure Unknown = new(ClipKind.Unknown, null, null, null, null);
}
