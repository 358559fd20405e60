using System.Globalization;
using KitMesh.Disk;

namespace KitMesh.Hub.SelfTest;

/// <summary>Whether there is room for what will be reported. The limits are our own choice.</summary>
internal static class RoomCheck
{
    private const string Check = "disk room";
    private const long Least = 64L << 20;
    private const long Comfortable = 1L << 30;

    /// <summary>Looks at the file system of the folder, or of what is there of its path.</summary>
    public static CheckLine Look(IDisk disk, string folder)
    {
        string? there = folder;
        while (there is not null && disk.Find(there).Fault is not null)
        {
            there = Path.GetDirectoryName(there);
        }

        if (there is null || disk.Space(there).Failed(out DiskFault? fault, out DiskSpace space))
        {
            return CheckLine.Look(Check, $"It is not known how much room there is for {folder}.", "Look at the mount.");
        }

        string words = string.Create(CultureInfo.InvariantCulture, $"{Megabytes(space.FreeBytes)} MB of {Megabytes(space.TotalBytes)} MB are free on the {space.Format} file system of {there}.");
        return space.FreeBytes < Least ? CheckLine.Wrong(Check, words, "A hub without room takes no reports. Make room.")
            : space.FreeBytes < Comfortable ? CheckLine.Look(Check, words, "Make room, or look again soon: less than 1 GB is left.")
            : CheckLine.Right(Check, words);
    }

    private static long Megabytes(long bytes) => bytes / 1_000_000;
}
