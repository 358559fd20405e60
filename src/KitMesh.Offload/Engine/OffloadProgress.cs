using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Engine;

/// <summary>How far an offload is. The engine counts, anybody may look at any time.</summary>
public sealed class OffloadProgress
{
    private IReadOnlyList<DriveProgress> _drives = [];
    private long _total;
    private long _read;
    private string _current = "";

    /// <summary>Bytes of all files on the card.</summary>
    public long TotalBytes => Volatile.Read(ref _total);

    /// <summary>Bytes of the card that were read, or need not be read any more.</summary>
    public long ReadBytes => Volatile.Read(ref _read);

    /// <summary>The file that is being read.</summary>
    public string Current => Volatile.Read(ref _current);

    /// <summary>Each drive.</summary>
    public IReadOnlyList<DriveProgress> Drives => Volatile.Read(ref _drives);

    internal void Start(long total, IReadOnlyList<DriveProgress> drives)
    {
        Volatile.Write(ref _drives, drives);
        Volatile.Write(ref _total, total);
    }

    internal void At(string path) => Volatile.Write(ref _current, path);

    internal void AddRead(long bytes) => Interlocked.Add(ref _read, bytes);
}
