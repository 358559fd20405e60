using KitMesh.Domain.Reports;
using KitMesh.Storage.Queries;
using KitMesh.Storage.RollUps;
using KitMesh.Sync.Journal;
using Npgsql;

namespace KitMesh.Storage.Postgres;

/// <summary>The store of a base camp that outgrows one machine: a PostgreSQL database that several hubs may share.</summary>
/// <remarks>
/// Answers come from all that any hub of the database stored. Each hub notes in it how far its own journal is applied, in the transaction that brings the
/// reports, so neither a crash here nor there needs a replay from the start. docs/storage.md says what is in the tables.
/// </remarks>
public sealed class PostgresReportStore : IReportStore
{
    /// <summary>How often a transaction is run that met another hub's.</summary>
    private const int Tries = 5;

    private readonly PostgresStoreOptions _options;
    private readonly NpgsqlDataSource _source;
    private readonly PostgresWriter _writer;
    private readonly SemaphoreSlim _turn = new(1, 1);
    private StoreFaultedException? _fault;
    private int _closed;

    private PostgresReportStore(PostgresStoreOptions options, NpgsqlDataSource source, PostgresWriter writer, StoreOpening opening)
    {
        _options = options;
        _source = source;
        _writer = writer;
        Opening = opening;
    }

    /// <inheritdoc/>
    public StoreOpening Opening { get; }

    /// <summary>Opens the store; makes its tables, or brings them up to date.</summary>
    /// <param name="options">How it is kept.</param>
    /// <param name="decode">Reads a report's bytes.</param>
    /// <param name="cancellation">Gives up.</param>
    /// <exception cref="StoreFaultedException">The database does not answer or refuses, in words.</exception>
    public static async Task<PostgresReportStore> OpenAsync(PostgresStoreOptions options, ReportDecoder decode, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(options);
        options.Validate();
        NpgsqlDataSource source = options.Address.Open(options);
        PostgresWriter? writer = null;
        try
        {
            await using NpgsqlConnection connection = await source.OpenConnectionAsync(cancellation).ConfigureAwait(false);
            (StoreOpening opening, long generation) = await PostgresSchema.PrepareAsync(connection, options, cancellation).ConfigureAwait(false);
            writer = new PostgresWriter(options, decode, generation);
            await writer.PrepareAsync(connection, cancellation).ConfigureAwait(false);
            return new PostgresReportStore(options, source, writer, opening);
        }
        catch (Exception failure)
        {
            writer?.Dispose();
            await source.DisposeAsync().ConfigureAwait(false);
            if (PostgresFault.IsOne(failure))
            {
                throw PostgresFault.Of(failure, options.Address);
            }

            throw;
        }
    }

    /// <inheritdoc/>
    public Task<StoreReceipt> WriteAsync(IReadOnlyList<IncomingReport> reports, JournalPosition appliedTo, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(reports);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(reports.Count, StoreLimits.MaxBatch, nameof(reports));
        return WriteAsync(connection => _writer.WriteAsync(connection, reports, appliedTo, cancellation), cancellation);
    }

    /// <inheritdoc/>
    public Task RetimeAsync(SequenceSpan span, ReportTiming timing, CancellationToken cancellation) =>
        WriteAsync(connection => _writer.RetimeAsync(connection, span, timing, cancellation), cancellation);

    /// <inheritdoc/>
    public Task<ReportPage> ReadAsync(ReportQuery query, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(query);
        ArgumentOutOfRangeException.ThrowIfLessThan(query.Limit, 1, nameof(query));
        ArgumentOutOfRangeException.ThrowIfGreaterThan(query.Limit, StoreLimits.MaxPage, nameof(query));
        return AskAsync(connection => PostgresQueries.PageAsync(connection, query, cancellation), cancellation);
    }

    /// <inheritdoc/>
    public Task<IReadOnlyList<KeptReport>> ReadOriginAsync(OriginId origin, ulong first, long maxBytes, CancellationToken cancellation) =>
        AskAsync(connection => PostgresQueries.OriginAsync(connection, origin, first, maxBytes, cancellation), cancellation);

    /// <inheritdoc/>
    public Task<IReadOnlyList<RollUp>> ReadRollUpsAsync(RollUpQuery query, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(query);
        if ((query.Until - query.From) / query.Span.Length() > StoreLimits.MaxRollUps)
        {
            throw new ArgumentOutOfRangeException(nameof(query), $"That span holds more than {StoreLimits.MaxRollUps} roll-ups; ask for longer buckets or a shorter span.");
        }

        return AskAsync(connection => PostgresQueries.RollUpsAsync(connection, query, cancellation), cancellation);
    }

    /// <inheritdoc/>
    public Task<IReadOnlyList<SeriesKey>> ListSeriesAsync(CancellationToken cancellation) => AskAsync(connection => PostgresQueries.SeriesAsync(connection, cancellation), cancellation);

    /// <inheritdoc/>
    public Task<IReadOnlyDictionary<ReportKind, long>> CountByKindAsync(CancellationToken cancellation) => AskAsync(connection => PostgresQueries.KindsAsync(connection, cancellation), cancellation);

    /// <inheritdoc/>
    public Task<IReadOnlyList<Watermark>> ReadWatermarksAsync(CancellationToken cancellation) => AskAsync(connection => PostgresQueries.WatermarksAsync(connection, cancellation), cancellation);

    /// <inheritdoc/>
    public Task<long> SizeAsync(CancellationToken cancellation) => AskAsync(connection => PostgresQueries.SizeAsync(connection, _options.Address.Schema, cancellation), cancellation);

    /// <summary>Ends every connection. Nothing needs to be brought to an end: what was written is committed.</summary>
    public async ValueTask DisposeAsync()
    {
        if (Interlocked.Exchange(ref _closed, 1) != 0)
        {
            return;
        }

        await _turn.WaitAsync().ConfigureAwait(false);
        _writer.Dispose();
        await _source.DisposeAsync().ConfigureAwait(false);
        _turn.Dispose();
    }

    /// <summary>Runs one write after the other. A failed one ends the store for writing: what is in memory may not fit any more.</summary>
    private async Task<T> WriteAsync<T>(Func<NpgsqlConnection, Task<T>> work, CancellationToken cancellation)
    {
        ObjectDisposedException.ThrowIf(Volatile.Read(ref _closed) != 0, this);
        await _turn.WaitAsync(cancellation).ConfigureAwait(false);
        try
        {
            if (_fault is { } before)
            {
                throw before;
            }

            await using NpgsqlConnection connection = await _source.OpenConnectionAsync(cancellation).ConfigureAwait(false);
            for (int attempt = 1; ; attempt++)
            {
                try
                {
                    return await work(connection).ConfigureAwait(false);
                }
                catch (PostgresException met) when (PostgresFault.MayRunAgain(met) && attempt < Tries)
                {
                    // Nothing of it is in the database; the other transaction went first.
                }
            }
        }
        catch (StoreFaultedException fault)
        {
            _fault = fault;
            throw;
        }
        catch (Exception failure) when (PostgresFault.IsOne(failure))
        {
            _fault = PostgresFault.Of(failure, _options.Address);
            throw _fault;
        }
        finally
        {
            _turn.Release();
        }
    }

    /// <summary>Answers a question. A failed one says nothing about the next: the server may be back.</summary>
    private async Task<T> AskAsync<T>(Func<NpgsqlConnection, Task<T>> work, CancellationToken cancellation)
    {
        ObjectDisposedException.ThrowIf(Volatile.Read(ref _closed) != 0, this);
        try
        {
            await using NpgsqlConnection connection = await _source.OpenConnectionAsync(cancellation).ConfigureAwait(false);
            return await work(connection).ConfigureAwait(false);
        }
        catch (Exception failure) when (PostgresFault.IsOne(failure))
        {
            throw PostgresFault.Of(failure, _options.Address);
        }
    }
}
