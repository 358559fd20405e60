using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Storage.Queries;
using KitMesh.Storage.RollUps;
using KitMesh.Sync.Journal;

namespace KitMesh.Storage.LiteDb;

/// <summary>The embedded store: one database file, one thread that owns it.</summary>
/// <remarks>docs/storage.md says what is in the file and what was measured.</remarks>
public sealed class LiteDbReportStore : IReportStore
{
    private readonly StoreFolder _folder;
    private readonly LiteDbStoreOptions _options;
    private readonly OwnerThread _owner;
    private readonly LiteDbView _view;
    private int _closed;

    private LiteDbReportStore(StoreFolder folder, LiteDbStoreOptions options, OwnerThread owner, LiteDbView view, StoreOpening opening)
    {
        _folder = folder;
        _options = options;
        _owner = owner;
        _view = view;
        Opening = opening;
    }

    /// <inheritdoc/>
    public StoreOpening Opening { get; }

    /// <summary>Opens or makes the store in a folder. What was not closed cleanly is deleted: the journal refills it.</summary>
    /// <param name="disk">The disk of the folder.</param>
    /// <param name="options">How it is kept.</param>
    /// <param name="decode">Reads a report's bytes.</param>
    /// <exception cref="StoreLockedException">Another process holds the folder.</exception>
    /// <exception cref="StoreFaultedException">The folder cannot be written.</exception>
    public static Task<LiteDbReportStore> OpenAsync(IDisk disk, LiteDbStoreOptions options, ReportDecoder decode) => OpenAsync(disk, options, decode, wrap: null);

    /// <summary>The same, with something between the database and its files.</summary>
    internal static async Task<LiteDbReportStore> OpenAsync(IDisk disk, LiteDbStoreOptions options, ReportDecoder decode, Func<Stream, Stream>? wrap)
    {
        options.Validate();
        StoreFolder folder = StoreFolder.Take(disk, options.Folder);
        var owner = new OwnerThread(folder.Database, options.QueueLength);
        try
        {
            (LiteDbView view, StoreOpening opening) = await owner.RunAsync(() => Open(folder, options, decode, wrap), CancellationToken.None).ConfigureAwait(false);
            return new LiteDbReportStore(folder, options, owner, view, opening);
        }
        catch
        {
            owner.Dispose();
            folder.Dispose();
            throw;
        }
    }

    /// <inheritdoc/>
    public Task<StoreReceipt> WriteAsync(IReadOnlyList<IncomingReport> reports, JournalPosition appliedTo, CancellationToken cancellation)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(reports.Count, StoreLimits.MaxBatch, nameof(reports));
        return _owner.RunAsync(() => _view.Write(reports, appliedTo), cancellation);
    }

    /// <inheritdoc/>
    public Task RetimeAsync(SequenceSpan span, ReportTiming timing, CancellationToken cancellation) =>
        _owner.RunAsync(() => _view.Retime(span, timing), cancellation);

    /// <inheritdoc/>
    public Task<ReportPage> ReadAsync(ReportQuery query, CancellationToken cancellation)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(query.Limit, 1, nameof(query));
        ArgumentOutOfRangeException.ThrowIfGreaterThan(query.Limit, StoreLimits.MaxPage, nameof(query));
        return _owner.RunAsync(() => _view.Read(query), cancellation);
    }

    /// <inheritdoc/>
    public Task<IReadOnlyList<KeptReport>> ReadOriginAsync(OriginId origin, ulong first, long maxBytes, CancellationToken cancellation) =>
        _owner.RunAsync(() => _view.ReadOrigin(origin, first, maxBytes), cancellation);

    /// <inheritdoc/>
    public Task<IReadOnlyList<RollUp>> ReadRollUpsAsync(RollUpQuery query, CancellationToken cancellation)
    {
        if ((query.Until - query.From) / query.Span.Length() > StoreLimits.MaxRollUps)
        {
            throw new ArgumentOutOfRangeException(nameof(query), $"That span holds more than {StoreLimits.MaxRollUps} roll-ups; ask for longer buckets or a shorter span.");
        }

        return _owner.RunAsync(() => _view.ReadRollUps(query), cancellation);
    }

    /// <inheritdoc/>
    public Task<IReadOnlyList<SeriesKey>> ListSeriesAsync(CancellationToken cancellation) => _owner.RunAsync(_view.ListSeries, cancellation);

    /// <inheritdoc/>
    public Task<IReadOnlyDictionary<ReportKind, long>> CountByKindAsync(CancellationToken cancellation) => _owner.RunAsync(_view.CountByKind, cancellation);

    /// <inheritdoc/>
    public Task<IReadOnlyList<Watermark>> ReadWatermarksAsync(CancellationToken cancellation) => _owner.RunAsync(_view.ReadWatermarks, cancellation);

    /// <inheritdoc/>
    public Task<long> SizeAsync(CancellationToken cancellation) => _owner.RunAsync(() => new DirectoryInfo(_options.Folder).EnumerateFiles().Sum(file => file.Length), cancellation);

    /// <summary>Closes the store. It gets its clean mark only if nothing ever failed.</summary>
    public async ValueTask DisposeAsync()
    {
        if (Interlocked.Exchange(ref _closed, 1) != 0)
        {
            return;
        }

        try
        {
            await _owner.RunAsync(Close, CancellationToken.None).ConfigureAwait(false);
        }
        catch (StoreFaultedException)
        {
            _view.Abandon();
        }
        finally
        {
            _owner.Dispose();
            _folder.Dispose();
        }
    }

    private static (LiteDbView View, StoreOpening Opening) Open(StoreFolder folder, LiteDbStoreOptions options, ReportDecoder decode, Func<Stream, Stream>? wrap)
    {
        string? reason = folder.JudgeContent(options.Stamp);
        if (reason is null)
        {
            try
            {
                LiteDbView kept = OpenView(folder, options, decode, wrap);
                return (kept, new StoreOpening(StoreOpeningState.Kept, kept.AppliedTo));
            }
#pragma warning disable CA1031 // A broken database file fails with any exception there is; the answer to all of them is the same.
            catch (Exception failure)
#pragma warning restore CA1031
            {
                reason = $"it is broken ({failure.Message})";
            }
        }

        folder.DeleteContent();
        LiteDbView view = OpenView(folder, options, decode, wrap);
        StoreOpening opening = reason.Length == 0
            ? new StoreOpening(StoreOpeningState.Fresh, JournalPosition.Start)
            : new StoreOpening(StoreOpeningState.Discarded, JournalPosition.Start, $"{folder.Database} is rebuilt from the journal: {reason}.");
        return (view, opening);
    }

    private static LiteDbView OpenView(StoreFolder folder, LiteDbStoreOptions options, ReportDecoder decode, Func<Stream, Stream>? wrap)
    {
        LiteDbTables tables = LiteDbTables.Open(folder.Database, wrap);
        try
        {
            return new LiteDbView(tables, options, decode);
        }
        catch
        {
            tables.Abandon();
            throw;
        }
    }

    private bool Close()
    {
        _view.Checkpoint();
        _view.Dispose();
        _folder.WriteMark(_options.Stamp);
        return true;
    }
}
