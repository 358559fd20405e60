using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Cards;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Names;
using NodaTime;

namespace KitMesh.Offload.Engine;

/// <summary>What drives hold already of a card's files.</summary>
internal static class KnownCopies
{
    private static readonly Duration Rounding = Duration.FromSeconds(2);
    private static readonly Duration QuarterHour = Duration.FromMinutes(15);
    private static readonly Duration WidestZone = Duration.FromHours(26);

    /// <summary>Copies in a drive's list that seem to be of a file, by path, size and time; the samples still decide.</summary>
    /// <param name="drive">The drive.</param>
    /// <param name="file">The file.</param>
    public static IEnumerable<CopyRecord> Listed(OpenDrive drive, CardFile file) =>
        drive.Copies.Of(file.Shown, file.Size).Where(copy => SameTime(copy.Modified, file.Modified));

    /// <summary>Paths on a drive that may hold a file although the list does not say so: its place, or its place with a mark.</summary>
    /// <param name="drive">The drive.</param>
    /// <param name="place">Where the template puts the file.</param>
    /// <param name="size">Bytes.</param>
    /// <exception cref="MediaFault">The drive refused.</exception>
    public static IReadOnlyList<string> Candidates(OpenDrive drive, string place, long size)
    {
        if (drive.IsNewFolderOf(place) || MediaFolder.Look(drive.Full(place)) is not { } there)
        {
            return [];
        }

        List<string> found = [];
        if (there.Kind == MediaKind.File && there.Size == size)
        {
            found.Add(place);
        }

        string folder = place[..(place.LastIndexOf('/') + 1)];
        string stem = Path.GetFileNameWithoutExtension(place) + "~";
        string extension = Path.GetExtension(place);
        foreach (string name in MediaFolder.List(drive.Full(folder)).Where(name => name.StartsWith(stem, StringComparison.Ordinal) && name.EndsWith(extension, StringComparison.Ordinal)))
        {
            if (MediaFolder.Look(drive.Full(folder + name)) is { Kind: MediaKind.File } marked && marked.Size == size)
            {
                found.Add(folder + name);
            }
        }

        return found;
    }

    /// <summary>
    /// Whether two times of one file agree. FAT keeps two seconds, in local time without a zone, so the same file mounted
    /// with another zone is off by whole quarter hours (Microsoft, "File Times"; exFAT specification, section 7.4).
    /// </summary>
    /// <param name="one">A time.</param>
    /// <param name="other">Another.</param>
    public static bool SameTime(Instant one, Instant other)
    {
        Duration apart = one > other ? one - other : other - one;
        if (apart > WidestZone)
        {
            return false;
        }

        Duration rest = apart - (QuarterHour * Math.Round(apart / QuarterHour));
        return rest <= Rounding && rest >= -Rounding;
    }
}
