using System.Globalization;
using System.Text;
using KitMesh.Disk;

namespace KitMesh.Storage.LiteDb;

/// <summary>The folder of a store: its lock, its clean mark, and the decision to keep or discard what is there.</summary>
/// <remarks>
/// Problem: the database is on disk only after a checkpoint, and a file that lost power can look whole and be wrong.
/// Trap: a second process opens the same file without complaint. Method: a lock file is held while the store is open; a
/// mark is written and synced after the database was closed and synced, and deleted (and the deletion synced) before the
/// database is opened for writing. Without the mark, or when its words do not fit, everything is deleted.
/// </remarks>
internal sealed class StoreFolder : IDisposable
{
    private const string MarkHead = "kitmesh store 1";
    private readonly IDisk _disk;
    private readonly IDisposable _lock;

    private StoreFolder(IDisk disk, string folder, IDisposable taken)
    {
        _disk = disk;
        Folder = folder;
        _lock = taken;
    }

    /// <summary>The folder.</summary>
    public string Folder { get; }

    /// <summary>The database file.</summary>
    public string Database => Path.Combine(Folder, "view.db");

    private string Mark => Path.Combine(Folder, "clean");

    /// <summary>Takes a folder for this process.</summary>
    /// <exception cref="StoreLockedException">Another process holds it.</exception>
    /// <exception cref="StoreFaultedException">The folder cannot be made or written.</exception>
    public static StoreFolder Take(IDisk disk, string folder)
    {
        Must(disk.CreateDirectory(folder));
        if (disk.Lock(Path.Combine(folder, "lock")).Failed(out DiskFault? fault, out IDisposable? taken))
        {
            throw fault.Kind == DiskFaultKind.InUse ? new StoreLockedException(folder) : new StoreFaultedException(fault.ToString());
        }

        return new StoreFolder(disk, folder, taken);
    }

    /// <summary>Looks for a clean mark and takes it away. Null when the content may be used, else why not; empty when there is none.</summary>
    public string? JudgeContent(StoreStamp stamp)
    {
        bool hasDatabase = !_disk.Find(Database).Failed(out _, out DiskEntry database);
        string? mark = ReadMark();
        if (mark is not null)
        {
            Must(_disk.Delete(Mark));
            Must(_disk.SyncDirectory(Folder));
        }

        if (!hasDatabase)
        {
            return "";
        }

        if (mark is null)
        {
            return "the hub was not shut down cleanly";
        }

        return mark == MarkFor(stamp, database.Length) ? null : "it was built from another journal, by another version, or was changed since";
    }

    /// <summary>Deletes the database.</summary>
    public void DeleteContent()
    {
        foreach (string file in new[] { Database, LiteDbTables.LogFile(Database) })
        {
            if (_disk.Delete(file).Failed(out DiskFault? fault) && fault.Kind != DiskFaultKind.NotFound)
            {
                throw new StoreFaultedException(fault.ToString());
            }
        }

        Must(_disk.SyncDirectory(Folder));
    }

    /// <summary>Says that the database, closed just now, may be used again.</summary>
    public void WriteMark(StoreStamp stamp)
    {
        using (IDiskFile database = Must(_disk.Open(Database, DiskOpen.ToWrite)))
        {
            Must(database.Sync());
            long length = Must(database.Length());
            using IDiskFile mark = Must(_disk.Open(Mark, new DiskOpen(DiskOpenMode.Emptied, Writable: true)));
            Must(mark.Write(0, Encoding.ASCII.GetBytes(MarkFor(stamp, length))));
            Must(mark.Sync());
        }

        Must(_disk.SyncDirectory(Folder));
    }

    /// <inheritdoc/>
    public void Dispose() => _lock.Dispose();

    private string? ReadMark()
    {
        if (_disk.Open(Mark, DiskOpen.ToRead).Failed(out _, out IDiskFile? file))
        {
            return null;
        }

        using (file)
        {
            byte[] text = new byte[512];
            return file.Read(0, text).Failed(out _, out int length) ? "" : Encoding.ASCII.GetString(text, 0, length);
        }
    }

    private static string MarkFor(StoreStamp stamp, long length) =>
        string.Create(CultureInfo.InvariantCulture, $"{MarkHead}\njournal {stamp.JournalId:x16}\nfold {stamp.FoldVersion}\nbytes {length}\n");

    private static void Must(DiskResult result)
    {
        if (result.Failed(out DiskFault? fault))
        {
            throw new StoreFaultedException(fault.ToString());
        }
    }

    private static T Must<T>(DiskResult<T> result)
        where T : notnull =>
        result.Failed(out DiskFault? fault, out T? value) ? throw new StoreFaultedException(fault.ToString()) : value;
}
