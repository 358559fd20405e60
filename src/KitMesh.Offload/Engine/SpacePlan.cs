using System.Globalization;
using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Offload.Cards;
using KitMesh.Offload.Drives;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Offload.Engine;

/// <summary>Whether what is missing on a drive fits, and else which whole days do.</summary>
internal sealed class SpacePlan
{
    private const long Block = 4096;
    private const long NamesAndLists = 2 << 20;

    private readonly HashSet<LocalDate>? _days;

    private SpacePlan(HashSet<LocalDate>? days, string? why)
    {
        _days = days;
        Why = why;
    }

    /// <summary>Why not everything is copied; null when it is.</summary>
    public string? Why { get; }

    /// <summary>Everything is copied.</summary>
    public static SpacePlan None { get; } = new(null, null);

    /// <summary>Plans a drive.</summary>
    /// <param name="drive">The drive.</param>
    /// <param name="files">The card's files.</param>
    /// <param name="places">Where each of them goes.</param>
    /// <param name="fitDays">Take the whole days that fit, earliest first; else take all or nothing.</param>
    /// <exception cref="MediaFault">The drive refused.</exception>
    public static SpacePlan For(OpenDrive drive, IReadOnlyList<CardFile> files, IReadOnlyList<string> places, bool fitDays)
    {
        List<CardFile> missing = [.. files.Where((file, i) => !KnownCopies.Listed(drive, file).Any() && !LiesThere(drive, file, places[i]))];
        long needed = missing.Sum(Need);
        if (missing.Count == 0 || needed + NamesAndLists <= drive.VolumeNow().Free)
        {
            return new SpacePlan(null, null);
        }

        // Some file systems give the room of deleted files back only with their next commit.
        drive.Top.FlushFileSystem();
        long free = drive.VolumeNow().Free;
        if (needed + NamesAndLists <= free)
        {
            return new SpacePlan(null, null);
        }

        HashSet<LocalDate> days = [];
        long left = free - NamesAndLists;
        var byDay = missing.GroupBy(file => file.Modified.InUtc().Date).OrderBy(day => day.Key).ToList();
        foreach (var day in byDay)
        {
            long need = day.Sum(Need);
            if (need <= left)
            {
                days.Add(day.Key);
                left -= need;
            }
        }

        string fits = days.Count == 0
            ? "no whole day fits"
            : $"these whole days would fit: {string.Join(", ", days.Order().Select(LocalDatePattern.Iso.Format))}";
        string why = string.Create(CultureInfo.InvariantCulture, $"{drive.Drive} has {new ByteCount(free)} free and the card needs {new ByteCount(needed)}; {fits}");
        return new SpacePlan(fitDays ? days : [], why);
    }

    /// <summary>Whether a file is to be copied to the drive.</summary>
    /// <param name="file">The file.</param>
    public bool Takes(CardFile file) => _days is null || _days.Contains(file.Modified.InUtc().Date);

    // A run that died may have left it there, not in the list yet: it is read and taken, not copied again.
    private static bool LiesThere(OpenDrive drive, CardFile file, string place)
    {
        try
        {
            return !drive.IsNewFolderOf(place) && MediaFolder.Look(drive.Full(place)) is { Kind: MediaKind.File } there && there.Size == file.Size;
        }
        catch (MediaFault)
        {
            // A path too long for the drive, for example; the copying says so.
            return false;
        }
    }

    private static long Need(CardFile file) => ((file.Size + Block - 1) / Block * Block) + Block;
}
