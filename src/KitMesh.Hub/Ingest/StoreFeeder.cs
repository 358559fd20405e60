using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Storage;
using KitMesh.Storage.Queries;
using KitMesh.Sync.Journal;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub.Ingest;

/// <summary>Brings what is merged into the store, renews times there, and opens a new store when one failed.</summary>
/// <param name="journal">The truth that a new store is filled from.</param>
/// <param name="keeper">Keeps the store.</param>
/// <param name="clocks">Machine time, for the pauses between tries.</param>
/// <param name="log">Where it tells what it does.</param>
internal sealed class StoreFeeder(IJournalView journal, StoreKeeper keeper, HubClocks clocks, ILogger log)
{
    /// <summary>How long to wait after a store failed: the cause may be a full disk.</summary>
    public TimeSpan Retry => keeper.Retry;

    private readonly HashSet<NodeId> _moved = [];
    private JournalPosition _stored = JournalPosition.Start;
    private long? _failedAt;

    /// <summary>Whether the store failed and has not been opened again.</summary>
    public bool IsWaiting => _failedAt is not null;

    /// <summary>Takes over an opened store, or waits for one.</summary>
    /// <param name="opening">The opened store; null when there is none yet.</param>
    public void Start(StoreOpening? opening)
    {
        _stored = opening?.AppliedTo ?? JournalPosition.Start;
        _failedAt = opening is null ? clocks.Machine.GetTimestamp() : null;
    }

    /// <summary>Notes nodes whose times moved; the next feeding renews them.</summary>
    public void NoteMoved(IReadOnlySet<NodeId> nodes) => _moved.UnionWith(nodes);

    /// <summary>Stores what is new.</summary>
    /// <param name="chunk">The newest reports.</param>
    /// <param name="from">Where they begin in the journal.</param>
    /// <param name="to">Where they end.</param>
    /// <param name="retiming">The times that hold.</param>
    /// <param name="cancellation">Gives up waiting.</param>
    public async Task FeedAsync(List<DecodedEntry> chunk, JournalPosition from, JournalPosition to, Retiming retiming, CancellationToken cancellation)
    {
        try
        {
            if (!await ReopenAsync().ConfigureAwait(false))
            {
                return;
            }

            await RenewTimesAsync(retiming, cancellation).ConfigureAwait(false);
            if (_stored.CompareTo(from) < 0)
            {
                // A new store, or one that was behind: it is filled up first.
                foreach (List<DecodedEntry> missed in JournalPass.Chunks(JournalPass.Decode(journal, _stored, from)))
                {
                    await WriteAsync(missed, missed[^1].Next, retiming, cancellation).ConfigureAwait(false);
                }
            }

            if (_stored.CompareTo(to) < 0 && chunk.Count > 0)
            {
                await WriteAsync(chunk, chunk[^1].Next, retiming, cancellation).ConfigureAwait(false);
            }
        }
        catch (StoreFaultedException fault)
        {
            await keeper.DropAsync(fault).ConfigureAwait(false);
            _failedAt = clocks.Machine.GetTimestamp();
        }
    }

    private async Task WriteAsync(List<DecodedEntry> chunk, JournalPosition appliedTo, Retiming retiming, CancellationToken cancellation)
    {
        var reports = new IncomingReport[chunk.Count];
        for (int i = 0; i < reports.Length; i++)
        {
            reports[i] = new IncomingReport(chunk[i].Raw, retiming.Time(chunk[i].Report), chunk[i].Arrival);
        }

        await keeper.Store.WriteAsync(reports, appliedTo, cancellation).ConfigureAwait(false);
        _stored = appliedTo;
    }

    private async Task RenewTimesAsync(Retiming retiming, CancellationToken cancellation)
    {
        if (_moved.Count == 0)
        {
            return;
        }

        IReportStore store = keeper.Store;
        foreach (Watermark mark in await store.ReadWatermarksAsync(cancellation).ConfigureAwait(false))
        {
            if (_moved.Contains(mark.Origin.Node))
            {
                await store.RetimeAsync(new SequenceSpan(mark.Origin, 1, ulong.MaxValue), report => retiming.Time(report).Time, cancellation).ConfigureAwait(false);
            }
        }

        _moved.Clear();
    }

    /// <summary>Opens the store again after it failed, no sooner than it may be tried again.</summary>
    private async Task<bool> ReopenAsync()
    {
        if (_failedAt is not { } failedAt)
        {
            return true;
        }

        if (clocks.Machine.GetElapsedTime(failedAt) < Retry)
        {
            return false;
        }

        try
        {
            StoreOpening opening = await keeper.OpenAsync().ConfigureAwait(false);
            _stored = opening.AppliedTo;
            _failedAt = null;
            return true;
        }
        catch (Exception failure) when (failure is StoreFaultedException or StoreLockedException)
        {
            HubLog.StoreUnavailable(log, failure.Message, (int)Retry.TotalSeconds);
            _failedAt = clocks.Machine.GetTimestamp();
            return false;
        }
    }
}
