using NodaTime;

namespace KitMesh.Offload.Recheck;

/// <summary>Which drive to recheck, and how.</summary>
/// <param name="Root">The drive's root.</param>
public sealed record RecheckRequest(string Root)
{
    /// <summary>Only copies not proven for longer than this, oldest first. Default: all.</summary>
    public Duration? OlderThan { get; init; }

    /// <summary>Stop after this many bytes, so that a recheck fits the evening's energy. Default: no limit.</summary>
    public long? MostBytes { get; init; }

    /// <summary>Unmount the drive and mount it again first, so that nothing of it is in memory. Needs root. Default: no.</summary>
    public bool Remount { get; init; }

    /// <summary>Drives to mend bad copies from, on demand only. Default: none.</summary>
    public IReadOnlyList<string> RepairFrom { get; init; } = [];
}
