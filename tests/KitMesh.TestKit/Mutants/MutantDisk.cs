using KitMesh.Disk;

namespace KitMesh.TestKit.Mutants;

/// <summary>A disk with one of the disk's mistakes.</summary>
public sealed class MutantDisk(IDisk inner, Mutant mutant) : IDisk
{
    /// <summary>The disk itself when the mistake is not the disk's.</summary>
    public static IDisk Wrap(IDisk inner, Mutant mutant) => mutant
        is Mutant.SyncDoesNothing
        or Mutant.DirectorySyncDoesNothing
        or Mutant.FailedSyncTrusted
        or Mutant.FailedWriteTrusted
        or Mutant.RenameByCopy
        or Mutant.SealWithoutSync
        ? new MutantDisk(inner, mutant)
        : inner;

    public DiskResult<IDiskFile> Open(string path, DiskOpen how)
    {
        DiskResult<IDiskFile> opened = inner.Open(path, how);
        return opened.Fault is null ? new DiskResult<IDiskFile>(new MutantFile(opened.Value, mutant)) : opened;
    }

    public DiskResult CreateDirectory(string path) => inner.CreateDirectory(path);

    public DiskResult SyncDirectory(string path) => mutant == Mutant.DirectorySyncDoesNothing ? DiskResult.Done : inner.SyncDirectory(path);

    public DiskResult<IReadOnlyList<DiskEntry>> List(string path) => inner.List(path);

    public DiskResult<DiskEntry> Find(string path) => inner.Find(path);

    public DiskResult Move(string from, string to, bool replace = false) =>
        mutant == Mutant.RenameByCopy ? Copy(from, to) : inner.Move(from, to, replace);

    public DiskResult Delete(string path) => inner.Delete(path);

    public DiskResult SetModified(string path, long modifiedUnixNanoseconds) => inner.SetModified(path, modifiedUnixNanoseconds);

    public DiskResult<DiskSpace> Space(string path) => inner.Space(path);

    public DiskResult<IDisposable> Lock(string path) => inner.Lock(path);

    private DiskResult Copy(string from, string to)
    {
        DiskResult<IDiskFile> source = inner.Open(from, DiskOpen.ToRead);
        DiskResult<IDiskFile> target = inner.Open(to, new DiskOpen(DiskOpenMode.Emptied, Writable: true));
        if (source.Failed(out DiskFault? fault, out IDiskFile? read) || target.Failed(out fault, out IDiskFile? write))
        {
            return fault;
        }

        using (read)
        using (write)
        {
            byte[] bytes = new byte[read.Length().Value];
            return read.Read(0, bytes).Failed(out fault, out _) || write.Write(0, bytes).Failed(out fault) ? fault : inner.Delete(from);
        }
    }

    private sealed class MutantFile(IDiskFile inner, Mutant mutant) : IDiskFile
    {
        public string Path => inner.Path;

        public int Alignment => inner.Alignment;

        public DiskResult<long> Length() => inner.Length();

        public DiskResult<int> Read(long offset, Span<byte> into) => inner.Read(offset, into);

        public DiskResult Write(long offset, ReadOnlySpan<byte> bytes)
        {
            DiskResult written = inner.Write(offset, bytes);
            return mutant == Mutant.FailedWriteTrusted ? DiskResult.Done : written;
        }

        public DiskResult Reserve(long bytes) => inner.Reserve(bytes);

        public DiskResult SetLength(long bytes) => inner.SetLength(bytes);

        public DiskResult Sync()
        {
            bool isSkipped = mutant == Mutant.SyncDoesNothing
                || (mutant == Mutant.SealWithoutSync && inner.Path.Contains(".kmz", StringComparison.Ordinal));
            DiskResult synced = isSkipped ? DiskResult.Done : inner.Sync();
            return mutant == Mutant.FailedSyncTrusted ? DiskResult.Done : synced;
        }

        public DiskResult DropCache() => inner.DropCache();

        public void Dispose() => inner.Dispose();
    }
}
