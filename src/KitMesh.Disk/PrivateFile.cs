namespace KitMesh.Disk;

/// <summary>Files that only their owner may read: keys and what goes with them.</summary>
/// <remarks>
/// Trap: a file that is made first and closed to others afterwards was open for a moment. So it is made with mode 0600 under
/// a name of its own, synced, then moved to its place: after a power cut the old or the new content stands.
/// </remarks>
public static class PrivateFile
{
    private const UnixFileMode OwnerOnly = UnixFileMode.UserRead | UnixFileMode.UserWrite;
    private const UnixFileMode OwnerFolder = OwnerOnly | UnixFileMode.UserExecute;
    private const UnixFileMode Others = UnixFileMode.GroupRead | UnixFileMode.GroupWrite | UnixFileMode.OtherRead | UnixFileMode.OtherWrite;

    /// <summary>Makes a folder that only its owner may enter. One that is there is closed to others.</summary>
    /// <param name="path">The folder.</param>
    /// <exception cref="IOException">The disk refuses.</exception>
    public static void MakeFolder(string path)
    {
        if (OperatingSystem.IsWindows())
        {
            Directory.CreateDirectory(path);
            return;
        }

        Directory.CreateDirectory(path, OwnerFolder);
        File.SetUnixFileMode(path, OwnerFolder);
    }

    /// <summary>Writes a file durably, in place of one of that name.</summary>
    /// <param name="path">The file.</param>
    /// <param name="content">Its content.</param>
    /// <exception cref="IOException">The disk refuses; an older file of that name is untouched.</exception>
    public static void Write(string path, ReadOnlySpan<byte> content)
    {
        string fresh = path + ".new";
        File.Delete(fresh);
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write, Share = FileShare.None };
        if (!OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = OwnerOnly;
        }

        using (var stream = new FileStream(fresh, options))
        {
            stream.Write(content);
            stream.Flush(flushToDisk: true);
        }

        File.Move(fresh, path, overwrite: true);
        if (new PhysicalDisk().SyncDirectory(Path.GetDirectoryName(Path.GetFullPath(path))!).Failed(out DiskFault? fault))
        {
            throw new IOException(fault.ToString());
        }
    }

    /// <summary>Whether others than the owner may read or change a file.</summary>
    /// <param name="path">The file.</param>
    public static bool IsOpenToOthers(string path) => !OperatingSystem.IsWindows() && (File.GetUnixFileMode(path) & Others) != UnixFileMode.None;
}
