using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Engine;

/// <summary>How far one drive is.</summary>
/// <param name="drive">The drive.</param>
public sealed class DriveProgress(KitId drive)
{
    private long _written;
    private long _proven;
    private string? _trouble;

    /// <summary>The drive.</summary>
    public KitId Drive { get; } = drive;

    /// <summary>Bytes written to it, or there already.</summary>
    public long WrittenBytes => Volatile.Read(ref _written);

    /// <summary>Bytes read back from it and found equal, or proven before.</summary>
    public long ProvenBytes => Volatile.Read(ref _proven);

    /// <summary>What went wrong last; null when nothing did.</summary>
    public string? Trouble => Volatile.Read(ref _trouble);

    internal void AddWritten(long bytes) => Interlocked.Add(ref _written, bytes);

    internal void AddProven(long bytes) => Interlocked.Add(ref _proven, bytes);

    internal void Fail(string trouble) => Volatile.Write(ref _trouble, trouble);
}
