using KitMesh.Disk;

namespace KitMesh.TestKit.Disk;

/// <summary>An open file of a simulated disk; it dies with the process that opened it.</summary>
internal sealed class SimulatedFile(SimulatedDisk disk, SimulatedInode inode, string path, bool writable, int alignment) : IDiskFile
{
    private readonly int _life = disk.Life;
    private bool _closed;

    public string Path => path;

    public int Alignment => alignment;

    public DiskResult<long> Length()
    {
        MustBeOpen();
        return (long)inode.Length;
    }

    public DiskResult<int> Read(long offset, Span<byte> into)
    {
        MustBeOpen();
        return disk.Meet(DiskStepKind.Read, path).Failed(out DiskFault? fault) ? fault : inode.Read(offset, into);
    }

    public DiskResult Write(long offset, ReadOnlySpan<byte> bytes)
    {
        MustBeOpen();
        if (!writable)
        {
            return new DiskFault(DiskFaultKind.AccessDenied, "write", path, "opened to read");
        }

        return disk.Write(inode, path, offset, bytes);
    }

    public DiskResult Reserve(long bytes) => new DiskFault(DiskFaultKind.NotSupported, "reserve room for", path, "simulated");

    public DiskResult SetLength(long bytes)
    {
        MustBeOpen();
        if (disk.Meet(DiskStepKind.Truncate, path).Failed(out DiskFault? fault))
        {
            return fault;
        }

        inode.SetLength((int)bytes);
        return DiskResult.Done;
    }

    public DiskResult Sync()
    {
        MustBeOpen();
        return disk.Sync(inode, path);
    }

    public DiskResult DropCache() => DiskResult.Done;

    public void Dispose() => _closed = true;

    private void MustBeOpen()
    {
        ObjectDisposedException.ThrowIf(_closed, this);
        if (_life != disk.Life)
        {
            throw new InvalidOperationException($"{path} was opened by a process that is gone.");
        }
    }
}
