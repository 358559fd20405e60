using KitMesh.Disk;
using KitMesh.Domain.State;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Storage.LiteDb;
using KitMesh.Storage.Postgres;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace KitMesh.Hub.Ingest;

/// <summary>Keeps a store open, and opens a new one when it failed: a broken view must not stop a hub.</summary>
internal sealed class StoreKeeper(IDisk disk, HubOptions options, ulong journalId, IClock world, ILogger log) : IAsyncDisposable
{
    private IReportStore? _store;
    private string _why = "The store is being opened.";

    /// <summary>The open store.</summary>
    /// <exception cref="StoreFaultedException">There is none at the moment.</exception>
    public IReportStore Store => Volatile.Read(ref _store) ?? throw new StoreFaultedException(_why);

    /// <summary>The store's folder.</summary>
    public string Folder { get; } = Path.Combine(options.DataFolder, "store");

    /// <summary>How long after a failure it is tried again.</summary>
    public TimeSpan Retry => options.StoreRetry;

    /// <summary>How a store in a database is kept.</summary>
    public static PostgresStoreOptions OptionsFor(PostgresAddress address, StoreStamp stamp, IClock world) => new() { Address = address, Stamp = stamp, World = world };

    /// <summary>Opens the store.</summary>
    /// <exception cref="StoreLockedException">Another process holds it.</exception>
    /// <exception cref="StoreFaultedException">Its folder cannot be written, or its database does not answer or refuses.</exception>
    public async Task<StoreOpening> OpenAsync()
    {
        var stamp = new StoreStamp(journalId, (int)TripState.FoldVersion);
        IReportStore store = options.Database is { } address
            ? await PostgresReportStore.OpenAsync(OptionsFor(address, stamp, world), ReportCodec.Decode, CancellationToken.None).ConfigureAwait(false)
            : await LiteDbReportStore.OpenAsync(disk, new LiteDbStoreOptions { Folder = Folder, Stamp = stamp }, ReportCodec.Decode).ConfigureAwait(false);
        if (store.Opening.Reason is { } reason)
        {
            HubLog.StoreDiscarded(log, reason);
        }

        Volatile.Write(ref _store, store);
        return store.Opening;
    }

    /// <summary>Opens the store at the start of a hub; null when its database does not answer at the moment, which no hub waits for.</summary>
    public async Task<StoreOpening?> OpenOrWaitAsync()
    {
        try
        {
            return await OpenAsync().ConfigureAwait(false);
        }
        catch (StoreFaultedException fault) when (fault.MayPass)
        {
            _why = fault.Message;
            HubLog.StoreUnavailable(log, fault.Message, (int)Retry.TotalSeconds);
            return null;
        }
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
