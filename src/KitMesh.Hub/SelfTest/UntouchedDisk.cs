using KitMesh.Disk;

namespace KitMesh.Hub.SelfTest;

/// <summary>A disk whose changes stay in memory, so that code which mends can be run to see what it would find.</summary>
/// <remarks>Made for a journal: files are made anew and moved, and never written in place. The lock is real.</remarks>
/// <param name="disk">The disk below, which is only read.</param>
internal sealed class UntouchedDisk(IDisk disk) : IDisk
{
    private readonly Dictionary<string, MemoryStream> _made = new(StringComparer.Ordinal);
    private readonly HashSet<string> _gone = new(StringComparer.Ordinal);

    public DiskResult<IDiskFile> Open(string path, DiskOpen how)
    {
        if (_made.TryGetValue(path, out MemoryStream? made) && how.Mode != DiskOpenMode.Emptied)
        {
            return how.Mode == DiskOpenMode.CreateNew ? Fault(DiskFaultKind.AlreadyThere, "make", path) : new DiskResult<IDiskFile>(new HeldFile(path, made));
        }

        if (!how.Writable)
        {
            return _gone.Contains(path) ? Fault(DiskFaultKind.NotFound, "open", path) : disk.Open(path, how);
        }

        bool isThere = !_gone.Contains(path) && disk.Find(path).Fault is null;
        if (isThere && how.Mode != DiskOpenMode.Emptied)
        {
            return Fault(how.Mode == DiskOpenMode.CreateNew ? DiskFaultKind.AlreadyThere : DiskFaultKind.AccessDenied, "write", path);
        }

        var held = new MemoryStream();
        _made[path] = held;
        return new DiskResult<IDiskFile>(new HeldFile(path, held));
    }

    public DiskResult CreateDirectory(string path) => disk.Find(path).Fault is { } fault ? fault : DiskResult.Done;

    public DiskResult SyncDirectory(string path) => DiskResult.Done;

    public DiskResult<IReadOnlyList<DiskEntry>> List(string path)
    {
        if (disk.List(path).Failed(out DiskFault? fault, out IReadOnlyList<DiskEntry>? below))
        {
            return fault;
        }

        IEnumerable<DiskEntry> held = _made
            .Where(file => Path.GetDirectoryName(file.Key) == path)
            .Select(file => new DiskEntry(Path.GetFileName(file.Key), false, file.Value.Length, 0, false));
        return new DiskResult<IReadOnlyList<DiskEntry>>([.. below
            .Where(entry => !_gone.Contains(Path.Combine(path, entry.Name)) && !_made.ContainsKey(Path.Combine(path, entry.Name)))
            .Concat(held)
            .OrderBy(entry => entry.Name, StringComparer.Ordinal)]);
    }

    public DiskResult<DiskEntry> Find(string path) =>
        _made.TryGetValue(path, out MemoryStream? held) ? new DiskEntry(Path.GetFileName(path), false, held.Length, 0, false)
        : _gone.Contains(path) ? Fault(DiskFaultKind.NotFound, "find", path)
        : disk.Find(path);

    public DiskResult Move(string from, string to, bool replace = false)
    {
        if (!_made.Remove(from, out MemoryStream? held))
        {
            return Fault(DiskFaultKind.AccessDenied, "rename", from);
        }

        _made[to] = held;
        _gone.Add(from);
        return DiskResult.Done;
    }

    public DiskResult Delete(string path)
    {
        _made.Remove(path);
        _gone.Add(path);
        return DiskResult.Done;
    }

    public DiskResult SetModified(string path, long modifiedUnixNanoseconds) => DiskResult.Done;

    public DiskResult<DiskSpace> Space(string path) => disk.Space(path);

    public DiskResult<IDisposable> Lock(string path) => disk.Lock(path);

    private static DiskFault Fault(DiskFaultKind kind, string operation, string path) => new(kind, operation, path, "nothing is changed while looking");

    private sealed class HeldFile(string path, MemoryStream bytes) : IDiskFile
    {
        public string Path => path;

        public int Alignment => 1;

        public DiskResult<long> Length() => bytes.Length;

        public DiskResult<int> Read(long offset, Span<byte> into)
        {
            bytes.Position = offset;
            return bytes.ReadAtLeast(into, into.Length, throwOnEndOfStream: false);
        }

        public DiskResult Write(long offset, ReadOnlySpan<byte> content)
        {
            bytes.Position = offset;
            bytes.Write(content);
            return DiskResult.Done;
        }

        public DiskResult Reserve(long length) => DiskResult.Done;

        public DiskResult SetLength(long length)
        {
            bytes.SetLength(length);
            return DiskResult.Done;
        }

        public DiskResult Sync() => DiskResult.Done;

        public DiskResult DropCache() => DiskResult.Done;

        public void Dispose()
        {
            // What was made must outlive its handle.
        }
    }
}
