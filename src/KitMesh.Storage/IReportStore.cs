using KitMesh.Domain.Reports;

using KitMesh.Storage.Queries;
using KitMesh.Storage.RollUps;
using KitMesh.Sync.Journal;

namespace KitMesh.Storage;

/// <summary>The queryable view of all reports. The journal is the truth; a store can always be thrown away and refilled from it.</summary>
/// <remarks>
/// What every implementation holds to, whatever database is under it:
/// <list type="bullet">
/// <item>Writing is a set union: a report that is there already changes nothing, in whatever order reports come.</item>
/// <item>The same sequence with other bytes is a fork: both are kept, and the receipt counts it.</item>
/// <item>One call to <see cref="WriteAsync"/> is one transaction: reports, ranges, counts and roll-ups change together or not at all.</item>
/// <item>Roll-ups depend on the set of reports and their times only, never on the order or grouping of arrival.</item>
/// <item>Every answer is complete when it is returned; nothing streams from an open cursor.</item>
/// <item>All members may be called from any thread.</item>
/// </list>
/// A store that finds its file broken throws <see cref="StoreFaultedException"/> from then on; the caller discards it and replays.
/// </remarks>
public interface IReportStore : IAsyncDisposable
{
    /// <summary>What was found when the store was opened.</summary>
    StoreOpening Opening { get; }

    /// <summary>Adds reports. Returns once other calls see them, which says nothing about loss of power.</summary>
    /// <param name="reports">At most <see cref="StoreLimits.MaxBatch"/> reports, in any order, from any origins.</param>
    /// <param name="appliedTo">Where in the journal the next replay goes on once these reports are in; kept with them.</param>
    /// <param name="cancellation">Gives up waiting for a place in the queue; a started write ends.</param>
    Task<StoreReceipt> WriteAsync(IReadOnlyList<IncomingReport> reports, JournalPosition appliedTo, CancellationToken cancellation);

    /// <summary>Gives the reports of a span new times, after a clock pair told more about the boot that wrote them.</summary>
    /// <param name="span">The reports.</param>
    /// <param name="timing">The times that now hold.</param>
    /// <param name="cancellation">Gives up waiting for a place in the queue.</param>
    Task RetimeAsync(SequenceSpan span, ReportTiming timing, CancellationToken cancellation);

    /// <summary>Reports by kind, item and time, in the order (time, origin, sequence).</summary>
    /// <param name="query">What is asked for.</param>
    /// <param name="cancellation">Gives up waiting.</param>
    Task<ReportPage> ReadAsync(ReportQuery query, CancellationToken cancellation);

    /// <summary>Original bytes of one origin in the order of its sequence: what a replay or another hub needs.</summary>
    /// <param name="origin">The origin.</param>
    /// <param name="first">The first sequence wanted.</param>
    /// <param name="maxBytes">Stops before the answer grows past this; at least one report comes if there is one.</param>
    /// <param name="cancellation">Gives up waiting.</param>
    Task<IReadOnlyList<KeptReport>> ReadOriginAsync(OriginId origin, ulong first, long maxBytes, CancellationToken cancellation);

    /// <summary>Roll-ups of one series, oldest first. Buckets in which nothing is known are left out.</summary>
    /// <param name="query">What is asked for.</param>
    /// <param name="cancellation">Gives up waiting.</param>
    Task<IReadOnlyList<RollUp>> ReadRollUpsAsync(RollUpQuery query, CancellationToken cancellation);

    /// <summary>Every series there is, in the order of its key.</summary>
    /// <param name="cancellation">Gives up waiting.</param>
    Task<IReadOnlyList<SeriesKey>> ListSeriesAsync(CancellationToken cancellation);

    /// <summary>How many reports of each kind are kept, forks included.</summary>
    /// <param name="cancellation">Gives up waiting.</param>
    Task<IReadOnlyDictionary<ReportKind, long>> CountByKindAsync(CancellationToken cancellation);

    /// <summary>Which sequences are kept of each origin.</summary>
    /// <param name="cancellation">Gives up waiting.</param>
    Task<IReadOnlyList<Watermark>> ReadWatermarksAsync(CancellationToken cancellation);

    /// <summary>Bytes that the store takes on disk, indexes included; in a shared database for all of its hubs together.</summary>
    /// <param name="cancellation">Gives up waiting.</param>
    Task<long> SizeAsync(CancellationToken cancellation);
}
