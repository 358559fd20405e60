using KitMesh.Disk;
using KitMesh.Domain.State;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Storage.LiteDb;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub.Ingest;

/// <summary>Keeps a store open, and opens a new one when it failed: a broken view must not stop a hub.</summary>
internal sealed class StoreKeeper(IDisk disk, HubOptions options, ulong journalId, ILogger log) : IAsyncDisposable
{
    private IReportStore? _store;
    private string _why = "The store is being opened.";

    /// <summary>The open store.</summary>
    /// <exception cref="StoreFaultedException">There is none at the moment.</exception>
    public IReportStore Store => Volatile.Read(ref _store) ?? throw new StoreFaultedException(_why);

    /// <summary>The store's folder.</summary>
    public string Folder { get; } = Path.Combine(options.DataFolder, "store");

    /// <summary>Opens the store.</summary>
    /// <exception cref="StoreLockedException">Another process holds it.</exception>
    /// <exception cref="StoreFaultedException">Its folder cannot be written.</exception>
    public async Task<StoreOpening> OpenAsync()
    {
        IReportStore store = await LiteDbReportStore.OpenAsync(
            disk,
            new LiteDbStoreOptions { Folder = Folder, Stamp = new StoreStamp(journalId, (int)TripState.FoldVersion) },
            ReportCodec.Decode).ConfigureAwait(false);
        if (store.Opening.Reason is { } reason)
        {
            HubLog.StoreDiscarded(log, reason);
        }

        Volatile.Write(ref _store, store);
        return store.Opening;
    }

    /// <summary>Closes a store that failed.</summary>
    public async Task DropAsync(StoreFaultedException fault)
    {
        HubLog.StoreFaulted(log, fault.Message);
        _why = fault.Message;
        if (Interlocked.Exchange(ref _store, null) is { } failed)
        {
            await failed.DisposeAsync().ConfigureAwait(false);
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        _why = "The hub is stopping.";
        if (Interlocked.Exchange(ref _store, null) is { } store)
        {
            await store.DisposeAsync().ConfigureAwait(false);
        }
    }
}
