using KitMesh.Disk.Media;

namespace KitMesh.Offload.Drives;

/// <summary>The room on a drive of which KitMesh may fill only a part, as its identity file says.</summary>
internal static class GrantedRoom
{
    private static readonly EnumerationOptions Everything = new()
    {
        RecurseSubdirectories = true,
        AttributesToSkip = FileAttributes.ReparsePoint,
        IgnoreInaccessible = true,
    };

    /// <summary>The volume as KitMesh may use it.</summary>
    /// <param name="volume">The file system.</param>
    /// <param name="root">The drive's root.</param>
    /// <param name="room">Bytes that may lie below it; null for all of the file system.</param>
    public static MediaVolume Of(MediaVolume volume, string root, long? room)
    {
        if (room is not { } granted)
        {
            return volume;
        }

        // Counted as the card's files are planned: by their bytes, not by the file system's blocks.
        long used = new DirectoryInfo(root).EnumerateFiles("*", Everything).Sum(file => file.Length);
        return volume with { Capacity = Math.Min(volume.Capacity, granted), Free = Math.Min(volume.Free, Math.Max(0, granted - used)) };
    }
}
