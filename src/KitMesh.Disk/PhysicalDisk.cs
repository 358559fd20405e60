using KitMesh.Disk.Physical;
using Microsoft.Win32.SafeHandles;

namespace KitMesh.Disk;

/// <summary>The machine's own file systems.</summary>
/// <remarks>
/// Linux is what this is built and tested on. macOS shares the code (names of its error numbers and flags are from
/// memory). On Windows a directory cannot be synced and NTFS journals names by itself, so <see cref="SyncDirectory"/>
/// does nothing there; direct I/O and reserving answer <see cref="DiskFaultKind.NotSupported"/>.
/// </remarks>
public sealed class PhysicalDisk : IDisk
{
    private const int OwnerWritesAllRead = 0x1A4; // 0644

    /// <inheritdoc/>
    public DiskResult<IDiskFile> Open(string path, DiskOpen how)
    {
        ArgumentException.ThrowIfNullOrEmpty(path);
        if (how.Direct && !OperatingSystem.IsLinux())
        {
            return new DiskFault(DiskFaultKind.NotSupported, "open past the cache", path, "only done on Linux");
        }

        return SystemCalls.IsUnix ? OpenOnUnix(path, how) : OpenOnWindows(path, how);
    }

    /// <inheritdoc/>
    public DiskResult CreateDirectory(string path)
    {
        string full = Path.GetFullPath(path);
        var missing = new Stack<string>();
        for (string? at = full; at is not null && !Directory.Exists(at); at = Path.GetDirectoryName(at))
        {
            missing.Push(at);
        }

        while (missing.TryPop(out string? next))
        {
            try
            {
                Directory.CreateDirectory(next);
            }
            catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
            {
                return FaultTranslation.FromException(exception, "make the directory", next);
            }

            if (SyncDirectory(Path.GetDirectoryName(next)!).Failed(out DiskFault? fault))
            {
                return fault;
            }
        }

        return DiskResult.Done;
    }

    /// <inheritdoc/>
    public DiskResult SyncDirectory(string path)
    {
        if (!SystemCalls.IsUnix)
        {
            return DiskResult.Done;
        }

        int descriptor = SystemCalls.Open(path, SystemCalls.ReadOnly | SystemCalls.CloseOnExec, 0);
        if (descriptor < 0)
        {
            return FaultTranslation.FromLastError("open the directory", path);
        }

        DiskResult result = SystemCalls.Sync(descriptor) == 0
            ? DiskResult.Done
            : FaultTranslation.FromLastError("sync the directory", path);
        _ = SystemCalls.Close(descriptor);
        return result;
    }

    /// <inheritdoc/>
    public DiskResult<IReadOnlyList<DiskEntry>> List(string path)
    {
        try
        {
            var entries = new DirectoryInfo(path)
                .EnumerateFileSystemInfos("*", new EnumerationOptions { AttributesToSkip = 0, IgnoreInaccessible = false, ReturnSpecialDirectories = false })
                .Select(EntryOf)
                .OrderBy(entry => entry.Name, StringComparer.Ordinal)
                .ToList();
            return entries;
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "list", path);
        }
    }

    /// <inheritdoc/>
    public DiskResult<DiskEntry> Find(string path)
    {
        try
        {
            FileSystemInfo info = Directory.Exists(path) ? new DirectoryInfo(path) : new FileInfo(path);
            return info.Exists || info.LinkTarget is not null
                ? EntryOf(info)
                : new DiskFault(DiskFaultKind.NotFound, "find", path, "no such name");
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "find", path);
        }
    }

    /// <inheritdoc/>
    public DiskResult Move(string from, string to, bool replace = false)
    {
        if (SystemCalls.IsUnix && replace)
        {
            return SystemCalls.Rename(from, to) == 0 ? DiskResult.Done : FaultTranslation.FromLastError("rename", from);
        }

        try
        {
            File.Move(from, to, replace);
            return DiskResult.Done;
        }
        catch (IOException) when (!replace && File.Exists(to))
        {
            return new DiskFault(DiskFaultKind.AlreadyThere, "rename", from, $"{to} is there");
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "rename", from);
        }
    }

    /// <inheritdoc/>
    public DiskResult Delete(string path)
    {
        try
        {
            if (Directory.Exists(path))
            {
                Directory.Delete(path, recursive: false);
                return DiskResult.Done;
            }

            var file = new FileInfo(path);
            if (!file.Exists && file.LinkTarget is null)
            {
                return new DiskFault(DiskFaultKind.NotFound, "delete", path, "no such name");
            }

            file.Delete();
            return DiskResult.Done;
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "delete", path);
        }
    }

    /// <inheritdoc/>
    public DiskResult SetModified(string path, long modifiedUnixNanoseconds)
    {
        try
        {
            File.SetLastWriteTimeUtc(path, DateTime.UnixEpoch.AddTicks(modifiedUnixNanoseconds / 100));
            return DiskResult.Done;
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "set the time of", path);
        }
    }

    /// <inheritdoc/>
    public DiskResult<DiskSpace> Space(string path)
    {
        try
        {
            var drive = new DriveInfo(Path.GetFullPath(path));
            return new DiskSpace(drive.TotalSize, drive.AvailableFreeSpace, drive.DriveFormat);
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "ask the free space of", path);
        }
    }

    /// <inheritdoc/>
    public DiskResult<IDisposable> Lock(string path) => LockFile.Take(path);

    private static DiskResult<IDiskFile> OpenOnUnix(string path, DiskOpen how)
    {
        int flags = SystemCalls.CloseOnExec | (how.Writable ? SystemCalls.ReadWrite : SystemCalls.ReadOnly);
        flags |= how.Mode switch
        {
            DiskOpenMode.Existing => 0,
            DiskOpenMode.CreateNew => SystemCalls.Create | SystemCalls.Exclusive,
            DiskOpenMode.ExistingOrNew => SystemCalls.Create,
            DiskOpenMode.Emptied => SystemCalls.Create | SystemCalls.Truncate,
            _ => throw new ArgumentOutOfRangeException(nameof(how)),
        };
        flags |= how.Direct ? SystemCalls.Direct : 0;
        int descriptor = SystemCalls.Open(path, flags, OwnerWritesAllRead);
        return descriptor < 0
            ? FaultTranslation.FromLastError("open", path)
            : new PhysicalFile(path, new SafeFileHandle(descriptor, ownsHandle: true), how.Direct);
    }

    private static DiskResult<IDiskFile> OpenOnWindows(string path, DiskOpen how)
    {
        FileMode mode = how.Mode switch
        {
            DiskOpenMode.Existing => FileMode.Open,
            DiskOpenMode.CreateNew => FileMode.CreateNew,
            DiskOpenMode.ExistingOrNew => FileMode.OpenOrCreate,
            DiskOpenMode.Emptied => FileMode.Create,
            _ => throw new ArgumentOutOfRangeException(nameof(how)),
        };
        try
        {
            FileAccess access = how.Writable ? FileAccess.ReadWrite : FileAccess.Read;
            return new PhysicalFile(path, File.OpenHandle(path, mode, access, FileShare.ReadWrite | FileShare.Delete), direct: false);
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "open", path);
        }
    }

    private static DiskEntry EntryOf(FileSystemInfo info)
    {
        bool isLink = info.LinkTarget is not null;
        bool isDirectory = !isLink && info is DirectoryInfo;
        long length = info is FileInfo file && !isLink ? file.Length : 0;
        long nanoseconds = (info.LastWriteTimeUtc - DateTime.UnixEpoch).Ticks * 100;
        return new(info.Name, isDirectory, length, nanoseconds, isLink);
    }
}
