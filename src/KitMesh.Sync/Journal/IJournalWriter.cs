using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal;

/// <summary>A journal with its writer thread: many callers, one queue with a bound, one write and one sync for all who wait.</summary>
public interface IJournalWriter : IJournalView, IAsyncDisposable
{
    /// <summary>What opening found.</summary>
    JournalRecovery Recovery { get; }

    /// <summary>Commits made so far: reports divided by them say how well group commit groups.</summary>
    long Commits { get; }

    /// <summary>Completes with the next end of the journal past a given one: how a view learns that there is more to replay.</summary>
    /// <param name="after">The end the caller knows.</param>
    /// <param name="cancellation">Stops the waiting.</param>
    ValueTask<JournalPosition> WhenPastAsync(JournalPosition after, CancellationToken cancellation);

    /// <summary>Appends reports of any origin. Waits while the queue is full; completes when they are durable or failed.</summary>
    /// <param name="reports">The reports, up to <see cref="JournalOptions.MaxBatchReports"/>; those of one origin in ascending order.</param>
    /// <param name="cancellation">Stops the waiting; a batch already queued may still become durable.</param>
    ValueTask<AppendResult> AppendAsync(IReadOnlyList<RawReport> reports, CancellationToken cancellation);

    /// <summary>Appends this node's own reports, giving out their sequences.</summary>
    /// <param name="encoders">One for each report.</param>
    /// <param name="cancellation">Stops the waiting; a batch already queued may still become durable.</param>
    ValueTask<OwnAppend> AppendOwnAsync(IReadOnlyList<OwnReportEncoder> encoders, CancellationToken cancellation);

    /// <summary>States durably that sequences of an origin will never come, because nobody holds them.</summary>
    /// <param name="origin">The origin.</param>
    /// <param name="range">The sequences.</param>
    /// <param name="cancellation">Stops the waiting.</param>
    ValueTask<AppendResult> WaiveAsync(OriginId origin, SequenceRange range, CancellationToken cancellation);

    /// <summary>Notes that an upstream hub holds an origin durably up to a sequence. Segments that hold nothing else go after the grace time.</summary>
    /// <param name="origin">The origin.</param>
    /// <param name="upTo">The last sequence of the gapless run from 1 that is durable upstream.</param>
    void Acknowledge(OriginId origin, ulong upTo);

    /// <summary>Opens a new epoch for this node's own reports, durably; needed when a peer knows more of, or something else than, the present one.</summary>
    /// <param name="epoch">64 fresh random bits.</param>
    /// <param name="cancellation">Stops the waiting.</param>
    ValueTask<AppendResult> OpenEpochAsync(ulong epoch, CancellationToken cancellation);
}
