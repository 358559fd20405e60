using KitMesh.Offload.Drives;
using KitMesh.Offload.Engine;
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

    /// <summary>
    /// What is said of the drive's power, for the proof level of copies that were written before it was last unplugged.
    /// Default: nothing; then only the drive's own count of being switched on is believed.
    /// </summary>
    public PowerWord Power { get; init; }

    /// <summary>How long the drive may leave one call unanswered before it is given up; 1 s to 1 h. Default: as <see cref="OffloadRequest.Patience"/>.</summary>
    public TimeSpan Patience { get; init; } = OffloadRequest.UsualPatience;

    /// <summary>Drives to mend bad copies from, on demand only. Default: none.</summary>
    public IReadOnlyList<string> RepairFrom { get; init; } = [];
}
