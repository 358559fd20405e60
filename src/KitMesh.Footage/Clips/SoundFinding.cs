using System.Globalization;
using NodaTime;

namespace KitMesh.Footage.Clips;

/// <summary>The sound of one picture.</summary>
/// <param name="Picture">The picture.</param>
/// <param name="Sounds">Paths of the sound recordings that overlap it.</param>
/// <param name="Basis">How they were found.</param>
/// <param name="Covered">How much of the picture has sound.</param>
public sealed record SoundFinding(ClipTimes Picture, IReadOnlyList<string> Sounds, SoundBasis Basis, Duration Covered)
{
    // Devices start and stop a moment apart, and timecode is read to the second.
    private static readonly Duration Slack = Duration.FromSeconds(3);

    /// <summary>What is missing, for a person; null when nothing is.</summary>
    public string? Lack
    {
        get
        {
            Duration missing = Picture.Length - Covered;
            string by = Basis == SoundBasis.Clock ? ", by clocks that nothing has compared" : "";
            return missing <= Slack ? null
                : Sounds.Count == 0 ? $"{Picture.Path} has no recorder's sound{by}"
                : string.Create(CultureInfo.InvariantCulture, $"{Picture.Path}: {missing.TotalSeconds:0} of {Picture.Length.TotalSeconds:0} s have no recorder's sound{by}");
        }
    }
}
