namespace KitMesh.Disk;

/// <summary>Files and directories, with durability said out loud. A simulated disk can stand in for the real one.</summary>
/// <remarks>
/// What survives a power cut: the bytes of a file after <see cref="IDiskFile.Sync"/>, and a name (created, moved or
/// deleted) after <see cref="SyncDirectory"/> on its directory. Nothing else. What happens in the field comes back as a
/// <see cref="DiskFault"/>; only a programmer's fault throws. Implementations may be called from several threads.
/// </remarks>
public interface IDisk
{
    /// <summary>Opens or creates a file.</summary>
    /// <param name="path">The file.</param>
    /// <param name="how">How to open it.</param>
    DiskResult<IDiskFile> Open(string path, DiskOpen how);

    /// <summary>Makes a directory, with its parents, and makes their names durable. One that is there is no fault.</summary>
    /// <param name="path">The directory.</param>
    DiskResult CreateDirectory(string path);

    /// <summary>Makes every name created, moved or deleted in a directory survive a power cut.</summary>
    /// <param name="path">The directory.</param>
    DiskResult SyncDirectory(string path);

    /// <summary>The names in a directory, in ordinal order.</summary>
    /// <param name="path">The directory.</param>
    DiskResult<IReadOnlyList<DiskEntry>> List(string path);

    /// <summary>What a name stands for; a name that is not there is <see cref="DiskFaultKind.NotFound"/>.</summary>
    /// <param name="path">The file or directory.</param>
    DiskResult<DiskEntry> Find(string path);

    /// <summary>Gives a file another name on the same file system in one step: after a power cut the old or the new name stands.</summary>
    /// <param name="from">The file.</param>
    /// <param name="to">Its new name.</param>
    /// <param name="replace">Whether a file of the new name gives way; else it is <see cref="DiskFaultKind.AlreadyThere"/>.</param>
    DiskResult Move(string from, string to, bool replace = false);

    /// <summary>Deletes a file or an empty directory. A name that is not there is <see cref="DiskFaultKind.NotFound"/>.</summary>
    /// <param name="path">The file or directory.</param>
    DiskResult Delete(string path);

    /// <summary>Sets when a file's content last changed, as copies of footage need.</summary>
    /// <param name="path">The file.</param>
    /// <param name="modifiedUnixNanoseconds">UTC nanoseconds since 1970; the file system rounds it.</param>
    DiskResult SetModified(string path, long modifiedUnixNanoseconds);

    /// <summary>The room on the file system that holds a path.</summary>
    /// <param name="path">A file or directory that is there.</param>
    DiskResult<DiskSpace> Space(string path);

    /// <summary>
    /// Takes a lock file for this process until the answer is disposed or the process ends, however it ends.
    /// Held elsewhere is <see cref="DiskFaultKind.InUse"/>, whose detail says by which process where that is known.
    /// </summary>
    /// <param name="path">The lock file; it is made when missing and stays behind when the lock is given back.</param>
    DiskResult<IDisposable> Lock(string path);
}
