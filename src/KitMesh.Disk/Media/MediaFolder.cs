using System.Runtime.InteropServices;

namespace KitMesh.Disk.Media;

/// <summary>Names on cards and drives: list, look, make, rename, remove. No link is ever followed at the end of a path.</summary>
public static unsafe class MediaFolder
{
    /// <summary>What stands at a path; null when nothing does.</summary>
    /// <param name="path">The path.</param>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public static MediaStat? Look(string path) => Look(SystemCalls.AtCurrentFolder, path);

    private static MediaStat? Look(int from, string path)
    {
        byte* raw = stackalloc byte[MediaStat.RawSize];
        fixed (byte* name = RawName.ToBytes(path))
        {
            MediaPulse.Calling();
            int result = SystemCalls.Stat(from, name, SystemCalls.AtNoFollow, SystemCalls.StatBasic, raw);
            MediaPulse.Returned();
            if (result == 0)
            {
                return MediaStat.Read(new ReadOnlySpan<byte>(raw, MediaStat.RawSize));
            }
        }

        int errno = Marshal.GetLastPInvokeError();
        return errno is ErrorNumber.NotFound or ErrorNumber.NotFolder ? null : throw new MediaFault("look", path, errno);
    }

    /// <summary>The names in a folder, in no order, without "." and "..".</summary>
    /// <param name="path">The folder.</param>
    /// <exception cref="MediaFault">It cannot be read; names read before are lost, so that half a list is never taken for a whole one.</exception>
    public static IReadOnlyList<string> List(string path)
    {
        nint list;
        fixed (byte* name = RawName.ToBytes(path))
        {
            MediaPulse.Calling();
            list = SystemCalls.OpenFolderList(name);
            MediaPulse.Returned();
        }

        if (list == 0)
        {
            throw new MediaFault("opening", path, Marshal.GetLastPInvokeError());
        }

        try
        {
            return ReadNames(list, path);
        }
        finally
        {
            _ = SystemCalls.CloseFolderList(list);
        }
    }

    /// <summary>Makes a folder and those above it that are missing; flushes each folder that got a new name.</summary>
    /// <param name="path">The folder.</param>
    /// <returns>True when anything was made.</returns>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public static bool Make(string path) => Make(SystemCalls.AtCurrentFolder, path);

    /// <summary>As the other, inside a folder that is held open: on the medium that was opened, whatever stands at its path by now.</summary>
    /// <param name="top">The open folder.</param>
    /// <param name="inside">The folder to make; its path from there.</param>
    /// <returns>True when anything was made.</returns>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public static bool Make(MediaFile top, string inside)
    {
        ArgumentNullException.ThrowIfNull(top);
        return Make(top.Handle, inside);
    }

    private static bool Make(int from, string path)
    {
        if (Look(from, path) is { } there)
        {
            return there.Kind == MediaKind.Folder ? false : throw new MediaFault("making", path, ErrorNumber.NotFolder);
        }

        string parent = Path.GetDirectoryName(path) ?? throw new MediaFault("making", path, ErrorNumber.NotFound);
        parent = parent.Length > 0 ? parent : ".";
        Make(from, parent);
        fixed (byte* name = RawName.ToBytes(path))
        {
            MediaPulse.Calling();
            int result = SystemCalls.MakeFolder(from, name, 0x1FD);
            MediaPulse.Returned();
            if (result != 0 && Marshal.GetLastPInvokeError() is var errno and not ErrorNumber.Exists)
            {
                throw new MediaFault("making", path, errno);
            }
        }

        using MediaFile above = MediaFile.OpenFolder(from, parent);
        above.Flush();
        return true;
    }

    /// <summary>Brings a folder's names to the medium.</summary>
    /// <param name="path">The folder.</param>
    /// <exception cref="MediaFault">The flush failed.</exception>
    public static void Flush(string path)
    {
        using MediaFile folder = MediaFile.OpenFolder(path);
        folder.Flush();
    }

    /// <summary>Gives a file another name, if that name is free in the eyes of the file system (which may ignore case).</summary>
    /// <param name="from">Its name now.</param>
    /// <param name="to">Its new name, on the same file system.</param>
    /// <returns>False when the new name is taken.</returns>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public static bool TryRename(string from, string to)
    {
        fixed (byte* source = RawName.ToBytes(from), target = RawName.ToBytes(to))
        {
            MediaPulse.Calling();
            int result = SystemCalls.Rename(SystemCalls.AtCurrentFolder, source, SystemCalls.AtCurrentFolder, target, SystemCalls.RenameNoReplace);
            MediaPulse.Returned();
            if (result == 0)
            {
                return true;
            }

            int errno = Marshal.GetLastPInvokeError();
            if (errno == ErrorNumber.Exists)
            {
                return false;
            }

            // FAT, exFAT and FUSE file systems may not know the flag; the caller holds the drive's lock, so looking first serves.
            if (errno is not (ErrorNumber.Invalid or ErrorNumber.NotImplemented or ErrorNumber.NotSupported))
            {
                throw new MediaFault("renaming", from, errno);
            }

            if (Look(to) is not null)
            {
                return false;
            }

            MediaPulse.Calling();
            result = SystemCalls.Rename(SystemCalls.AtCurrentFolder, source, SystemCalls.AtCurrentFolder, target, 0);
            MediaPulse.Returned();
            return result == 0
                ? true
                : throw new MediaFault("renaming", from, Marshal.GetLastPInvokeError());
        }
    }

    /// <summary>Removes a file; one that is not there is fine.</summary>
    /// <param name="path">The file.</param>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public static void RemoveFile(string path)
    {
        fixed (byte* name = RawName.ToBytes(path))
        {
            MediaPulse.Calling();
            int result = SystemCalls.Remove(name);
            MediaPulse.Returned();
            if (result != 0 && Marshal.GetLastPInvokeError() is var errno and not ErrorNumber.NotFound)
            {
                throw new MediaFault("removing", path, errno);
            }
        }
    }

    /// <summary>The file system behind a folder.</summary>
    /// <param name="path">The folder.</param>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public static MediaVolume Volume(string path)
    {
        using MediaFile folder = MediaFile.OpenFolder(path);
        return folder.Volume();
    }

    private static List<string> ReadNames(nint list, string path)
    {
        // struct dirent on 64-bit Linux: inode 8, offset 8, length 2, type 1, then the name, ended by zero.
        const int NameOffset = 19;
        List<string> names = [];
        while (true)
        {
            MediaPulse.Calling();
            byte* entry = SystemCalls.NextEntry(list);
            int errno = Marshal.GetLastPInvokeError();
            MediaPulse.Returned();
            if (entry is null)
            {
                return errno == 0 ? names : throw new MediaFault("listing", path, errno);
            }

            string name = RawName.FromBytes(MemoryMarshal.CreateReadOnlySpanFromNullTerminated(entry + NameOffset));
            if (name is not ("." or ".."))
            {
                names.Add(name);
            }
        }
    }
}
