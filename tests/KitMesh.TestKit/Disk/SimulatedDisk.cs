using KitMesh.Disk;

namespace KitMesh.TestKit.Disk;

/// <summary>A disk that forgets everything not synced, and does so in the same way for the same seed.</summary>
/// <remarks>
/// What survives a power cut: synced pages of 4 KiB, and names whose directory was synced. Of the rest any part may
/// survive: pages one by one, the length of a file apart from its pages, changes of names one by one. A failed sync marks
/// pages clean that never reached the medium; whether reads go on showing them differs between file systems
/// (A. Rebello et al., USENIX ATC 2020), so both happen.
/// </remarks>
public sealed class SimulatedDisk : IDisk
{
    private readonly SortedSet<string> _directories = new(StringComparer.Ordinal) { "/" };
    private readonly HashSet<string> _locks = new(StringComparer.Ordinal);
    private readonly SimulatedNames _names = new();
    private SeededRandom _random;

    public SimulatedDisk(ulong seed) => _random = new SeededRandom(seed);

    /// <summary>Decides what happens to each operation.</summary>
    public Func<DiskStep, DiskMishap>? Decide { get; set; }

    /// <summary>Room for file contents.</summary>
    public long CapacityBytes { get; set; } = long.MaxValue;

    /// <summary>Operations met so far that change something; reads carry the number of the one before them.</summary>
    public long Steps { get; private set; }

    /// <summary>Syncs of files done so far.</summary>
    public long Syncs { get; private set; }

    /// <summary>Counts the lives of the processes on this machine.</summary>
    internal int Life { get; private set; }

    public long UsedBytes => _names.Seen.Sum(name => (long)name.Value.Length);

    /// <summary>Every file that programs see.</summary>
    public IReadOnlyList<string> Files => [.. _names.Seen.Select(name => name.Key)];

    /// <summary>A copy of what the medium holds, as another disk.</summary>
    public SimulatedDisk Image(ulong seed)
    {
        var image = new SimulatedDisk(seed);
        image._directories.UnionWith(_directories);
        image._names.TakeMedium(_names);
        return image;
    }

    /// <summary>The power goes and comes back.</summary>
    public void CutPower(CutOutcome outcome, ulong? seed = null)
    {
        _random = seed is { } value ? new SeededRandom(value) : _random;
        _names.Cut(_random, outcome);
        KillProcess();
    }

    /// <summary>The process ends at once; the system's cache lives on.</summary>
    public void KillProcess()
    {
        _locks.Clear();
        Life++;
    }

    /// <summary>Turns one bit on the medium.</summary>
    public void FlipBit(string path, long bit) => Inode(path).FlipBit(bit);

    /// <summary>The bytes that programs see in a file.</summary>
    public byte[] Bytes(string path)
    {
        byte[] bytes = new byte[Inode(path).Length];
        Inode(path).Read(0, bytes);
        return bytes;
    }

    /// <summary>Puts a file there, durably.</summary>
    public void Put(string path, ReadOnlySpan<byte> bytes)
    {
        var inode = new SimulatedInode();
        inode.Write(0, bytes);
        inode.Sync();
        _names.Change(gone: null, path, inode);
        _names.Sync(Path.GetDirectoryName(path)!);
    }

    public DiskResult<IDiskFile> Open(string path, DiskOpen how)
    {
        int alignment = how.Direct ? AlignedBuffer.DefaultAlignment : 1;
        SimulatedInode? inode = _names.Find(path);
        bool mustBeNew = how.Mode == DiskOpenMode.CreateNew;
        if ((inode is null && how.Mode == DiskOpenMode.Existing) || !_directories.Contains(Path.GetDirectoryName(path)!))
        {
            return new DiskFault(DiskFaultKind.NotFound, "open", path, "simulated");
        }

        if (inode is not null && mustBeNew)
        {
            return new DiskFault(DiskFaultKind.AlreadyThere, "open", path, "simulated");
        }

        if (inode is null)
        {
            if (Meet(DiskStepKind.Create, path).Failed(out DiskFault? fault))
            {
                return fault;
            }

            inode = new SimulatedInode();
            _names.Change(gone: null, path, inode);
        }
        else if (how.Mode == DiskOpenMode.Emptied)
        {
            inode.SetLength(0);
        }

        return new DiskResult<IDiskFile>(new SimulatedFile(this, inode, path, how.Writable, alignment));
    }

    public DiskResult CreateDirectory(string path)
    {
        for (string? at = path; at is not null && _directories.Add(at); at = Path.GetDirectoryName(at))
        {
        }

        return DiskResult.Done;
    }

    public DiskResult SyncDirectory(string path)
    {
        if (Meet(DiskStepKind.SyncDirectory, path).Failed(out DiskFault? fault))
        {
            return fault;
        }

        _names.Sync(path);
        return DiskResult.Done;
    }

    public DiskResult<IReadOnlyList<DiskEntry>> List(string path)
    {
        if (!_directories.Contains(path))
        {
            return new DiskFault(DiskFaultKind.NotFound, "list", path, "simulated");
        }

        var entries = _names.Seen
            .Where(name => Path.GetDirectoryName(name.Key) == path)
            .Select(name => new DiskEntry(Path.GetFileName(name.Key), IsDirectory: false, name.Value.Length, name.Value.ModifiedUnixNanoseconds))
            .Concat(_directories.Where(directory => Path.GetDirectoryName(directory) == path).Select(directory => new DiskEntry(Path.GetFileName(directory), true, 0, 0)))
            .OrderBy(entry => entry.Name, StringComparer.Ordinal)
            .ToList();
        return entries;
    }

    public DiskResult<DiskEntry> Find(string path) => _names.Find(path) is { } inode
        ? new DiskEntry(Path.GetFileName(path), IsDirectory: false, inode.Length, inode.ModifiedUnixNanoseconds)
        : _directories.Contains(path)
            ? new DiskEntry(Path.GetFileName(path), IsDirectory: true, 0, 0)
            : new DiskFault(DiskFaultKind.NotFound, "find", path, "simulated");

    public DiskResult Move(string from, string to, bool replace = false)
    {
        if (_names.Find(from) is not { } inode)
        {
            return new DiskFault(DiskFaultKind.NotFound, "rename", from, "simulated");
        }

        if (!replace && _names.Find(to) is not null)
        {
            return new DiskFault(DiskFaultKind.AlreadyThere, "rename", from, "simulated");
        }

        if (Meet(DiskStepKind.Move, to).Failed(out DiskFault? fault))
        {
            return fault;
        }

        _names.Change(from, to, inode);
        return DiskResult.Done;
    }

    public DiskResult Delete(string path)
    {
        if (_names.Find(path) is null)
        {
            return _directories.Remove(path) ? DiskResult.Done : new DiskFault(DiskFaultKind.NotFound, "delete", path, "simulated");
        }

        if (Meet(DiskStepKind.Delete, path).Failed(out DiskFault? fault))
        {
            return fault;
        }

        _names.Change(path, given: null, inode: null);
        return DiskResult.Done;
    }

    public DiskResult SetModified(string path, long modifiedUnixNanoseconds)
    {
        Inode(path).ModifiedUnixNanoseconds = modifiedUnixNanoseconds;
        return DiskResult.Done;
    }

    public DiskResult<DiskSpace> Space(string path) => new DiskSpace(CapacityBytes, Math.Max(0, CapacityBytes - UsedBytes), "simulated");

    public DiskResult<IDisposable> Lock(string path) => _locks.Add(path)
        ? new DiskResult<IDisposable>(new SimulatedLock(_locks, path))
        : new DiskFault(DiskFaultKind.InUse, "lock", path, "held by another simulated process");

    internal DiskResult Write(SimulatedInode inode, string path, long offset, ReadOnlySpan<byte> bytes)
    {
        DiskMishap mishap = Ask(DiskStepKind.Write, path, out DiskStep step);
        long growth = Math.Max(0, offset + bytes.Length - inode.Length);
        bool isFull = CapacityBytes != long.MaxValue && UsedBytes + growth > CapacityBytes;
        if (mishap == DiskMishap.None && !isFull)
        {
            inode.Write(offset, bytes);
            return DiskResult.Done;
        }

        int part = bytes.IsEmpty ? 0 : _random.Below(bytes.Length);
        if (isFull)
        {
            part = (int)Math.Min(part, Math.Max(0, CapacityBytes - UsedBytes));
        }

        inode.Write(offset, bytes[..part]);
        return isFull && mishap == DiskMishap.None ? new DiskFault(DiskFaultKind.NoSpace, "write", path, "simulated") : Fail(mishap, step, "write");
    }

    internal DiskResult Sync(SimulatedInode inode, string path)
    {
        DiskMishap mishap = Ask(DiskStepKind.Sync, path, out DiskStep step);
        if (mishap == DiskMishap.None)
        {
            inode.Sync();
            Syncs++;
            return DiskResult.Done;
        }

        if (mishap != DiskMishap.PowerCut)
        {
            inode.FailSync(_random, showsLostPages: _random.OneIn(2));
        }

        return Fail(mishap, step, "sync");
    }

    internal DiskResult Meet(DiskStepKind kind, string path)
    {
        DiskMishap mishap = Ask(kind, path, out DiskStep step);
        return mishap == DiskMishap.None ? DiskResult.Done : Fail(mishap, step, kind.ToString());
    }

    private static DiskResult Fail(DiskMishap mishap, DiskStep step, string operation) => mishap switch
    {
        DiskMishap.PowerCut => throw new PowerCutException(step),
        DiskMishap.InputOutput => new DiskFault(DiskFaultKind.InputOutput, operation, step.Path, "simulated"),
        DiskMishap.NoSpace => new DiskFault(DiskFaultKind.NoSpace, operation, step.Path, "simulated"),
        _ => throw new InvalidOperationException($"No fault in {mishap}."),
    };

    private DiskMishap Ask(DiskStepKind kind, string path, out DiskStep step)
    {
        Steps += kind == DiskStepKind.Read ? 0 : 1;
        step = new DiskStep(Steps, kind, path);
        return Decide?.Invoke(step) ?? DiskMishap.None;
    }

    private SimulatedInode Inode(string path) => _names.Find(path) ?? throw new FileNotFoundException(path);

    private sealed class SimulatedLock(HashSet<string> locks, string path) : IDisposable
    {
        private HashSet<string>? _held = locks;

        public void Dispose()
        {
            _held?.Remove(path);
            _held = null;
        }
    }
}
