using NodaTime;

namespace KitMesh.Storage.LiteDb;

/// <summary>How a <see cref="LiteDbReportStore"/> is kept.</summary>
public sealed record LiteDbStoreOptions
{
    /// <summary>The folder; made when missing.</summary>
    public required string Folder { get; init; }

    /// <summary>What the content is built from; other content is discarded.</summary>
    public required StoreStamp Stamp { get; init; }

    /// <summary>Reports in a full segment: 10 to 10,000. Default: 1,000.</summary>
    public int SegmentReports { get; init; } = 1_000;

    /// <summary>Level of zstd for full segments: 1 to 19. Default: 3.</summary>
    public int CompressionLevel { get; init; } = 3;

    /// <summary>Calls that wait for the owner thread: 1 to 65,536. Further callers wait outside. Default: 34.</summary>
    public int QueueLength { get; init; } = 64;

    /// <summary>How long a reading is believed to hold when no other follows: 1 minute to 1 day. Default: 1 hour.</summary>
    public Duration HoldLimit { get; init; } = Duration.FromHours(1);

    /// <summary>Throws when an option is out of its range.</summary>
    /// <exception cref="ArgumentOutOfRangeException">An option is out of its range.</exception>
    public void Validate()
    {
        ArgumentException.ThrowIfNullOrEmpty(Folder);
        InRange(SegmentReports, 10, 10_000, nameof(SegmentReports));
        InRange(CompressionLevel, 1, 19, nameof(CompressionLevel));
        InRange(QueueLength, 1, 65_536, nameof(QueueLength));
        InRange(HoldLimit, Duration.FromMinutes(1), Duration.FromDays(1), nameof(HoldLimit));
    }

    private static void InRange<T>(T value, T least, T most, string name)
        where T : IComparable<T>
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(value, least, name);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(value, most, name);
    }
}
