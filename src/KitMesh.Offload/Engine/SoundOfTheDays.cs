using KitMesh.Footage.Clips;
using KitMesh.Offload.Drives;
using NodaTime;

namespace KitMesh.Offload.Engine;

/// <summary>Holes in the sound of the days that a card is from, by what the drives' lists know: other cards' clips are there too.</summary>
internal static class SoundOfTheDays
{
    private static readonly Duration Around = Duration.FromDays(1);

    /// <summary>What lacks sound.</summary>
    /// <param name="drives">The drives.</param>
    /// <param name="card">The card of this run.</param>
    /// <returns>One line for each picture; none when no recorder's sound of those days is known.</returns>
    public static IReadOnlyList<string> Lacks(IReadOnlyList<OpenDrive> drives, string card)
    {
        List<ClipTimes> all = [.. drives
            .SelectMany(drive => drive.Copies.Copies)
            .Where(copy => copy.Times is not null)
            .DistinctBy(copy => copy.Clip)
            .Select(copy => copy.Times!)];
        List<ClipTimes> own = [.. all.Where(clip => clip.Device == card)];
        if (own.Count == 0)
        {
            return [];
        }

        Instant from = own.Min(clip => clip.Start) - Around;
        Instant to = own.Max(clip => clip.Start + clip.Length) + Around;
        List<ClipTimes> days = [.. all.Where(clip => clip.Start >= from && clip.Start <= to)];
        return days.Exists(clip => clip.IsSound) ? [.. SoundMatch.Find(days).Select(finding => finding.Lack).OfType<string>()] : [];
    }
}
