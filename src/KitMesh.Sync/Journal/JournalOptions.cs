using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Sync.Journal;

/// <summary>How a journal is kept.</summary>
public sealed record JournalOptions
{
    /// <summary>The largest report that is taken: 64 KiB, as on the wire.</summary>
    public const int MaxReportBytes = ReportsFrame.MaxReportBytes;

    /// <summary>The most reports in one append.</summary>
    public const int MaxBatchReports = 10_000;

    /// <summary>The most bytes of reports in one append: 8 MiB.</summary>
    public const int MaxBatchBytes = 8 << 20;

    /// <summary>The folder; made when missing.</summary>
    public required string Folder { get; init; }

    /// <summary>This node.</summary>
    public required NodeId Node { get; init; }

    /// <summary>A segment past this size is closed. From 4 KiB to 256 MiB; 8 MiB when not said. A restart rewrites at most this much.</summary>
    public long SegmentBytes { get; init; } = 8 << 20;

    /// <summary>How long acknowledged reports are kept after the acknowledgement. From 0 up; 3 days when not said.</summary>
    public Duration KeepAfterAcknowledgement { get; init; } = Duration.FromDays(3);

    /// <summary>Whether acknowledged segments are dropped: true for an agent's outbox, false for a hub.</summary>
    public bool DropAcknowledged { get; init; }

    /// <summary>The most appends waiting for the writer. From 1 to 65,536; 1,024 when not said.</summary>
    public int QueueLength { get; init; } = 1024;

    /// <summary>The zstd level of sealed segments, from 1 to 19; 3 when not said.</summary>
    public int CompressionLevel { get; init; } = 3;

    /// <summary>The most forks kept of one sequence: a sequence is read whole, so this bounds memory.</summary>
    public const int MaxForksPerSequence = 64;

    /// <summary>
    /// The most forks kept for one origin, so that a liar cannot fill the memory. From 1 to 1,024; 1,024 when not said: an agent whose
    /// disk was put back to an old image writes that many before it meets a hub in three hours of a report each ten seconds.
    /// </summary>
    public int MaxForksPerOrigin { get; init; } = 1024;

    /// <summary>Throws when an option is out of its range.</summary>
    /// <exception cref="ArgumentOutOfRangeException">An option is out of its range.</exception>
    public void Validate()
    {
        ArgumentException.ThrowIfNullOrEmpty(Folder);
        ArgumentOutOfRangeException.ThrowIfLessThan(SegmentBytes, 4 << 10);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(SegmentBytes, 256L << 20);
        ArgumentOutOfRangeException.ThrowIfLessThan(KeepAfterAcknowledgement, Duration.Zero);
        ArgumentOutOfRangeException.ThrowIfLessThan(QueueLength, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(QueueLength, 65_536);
        ArgumentOutOfRangeException.ThrowIfLessThan(CompressionLevel, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(CompressionLevel, 19);
        ArgumentOutOfRangeException.ThrowIfLessThan(MaxForksPerOrigin, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(MaxForksPerOrigin, 1024);
    }
}
