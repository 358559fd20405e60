using KitMesh.Domain.Reports;
using KitMesh.Protocol;
using KitMesh.Storage.Queries;
using KitMesh.Storage.RollUps;
using KitMesh.Sync.Journal;
using Npgsql;

namespace KitMesh.Storage.Postgres;

/// <summary>What one hub writes, one transaction after another; used by one caller at a time.</summary>
internal sealed class PostgresWriter : IDisposable
{
    /// <summary>Reports whose times are renewed in one statement.</summary>
    private const int RetimePage = 10_000;

    private readonly PostgresStoreOptions _options;
    private readonly ReportDecoder _decode;
    private readonly long _generation;
    private readonly long _journal;
    private readonly PostgresNames _names = new();
    private readonly PostgresPartitions _partitions;
    private readonly PostgresRollUps _rollUps;
    private readonly PostgresUnion _union;

    public PostgresWriter(PostgresStoreOptions options, ReportDecoder decode, long generation)
    {
        _options = options;
        _decode = decode;
        _generation = generation;
        _journal = PostgresNumber.Signed(options.Stamp.JournalId);
        _partitions = new PostgresPartitions(options.World);
        _rollUps = new PostgresRollUps(_names, decode, options.HoldLimit.ToInt64Nanoseconds());
        _union = new PostgresUnion(_names);
    }

    /// <summary>Makes the partitions of the next weeks.</summary>
    public Task PrepareAsync(NpgsqlConnection connection, CancellationToken cancellation) => _partitions.EnsureAsync(connection, [], cancellation);

    /// <summary>Adds reports as one transaction.</summary>
    public async Task<StoreReceipt> WriteAsync(NpgsqlConnection connection, IReadOnlyList<IncomingReport> reports, JournalPosition appliedTo, CancellationToken cancellation)
    {
        PostgresRow[] rows = [.. reports.Select(PostgresRow.Of)];
        Dictionary<SeriesKey, List<(Sample Sample, int Place)>> readings = PostgresRollUps.Collect(rows);
        await _names.LearnAsync(connection, rows.Select(row => row.Report.Raw.Key.Origin), cancellation).ConfigureAwait(false);
        await _names.LearnAsync(connection, rows.SelectMany(row => row.Items), cancellation).ConfigureAwait(false);
        await _names.LearnAsync(connection, readings.Keys, cancellation).ConfigureAwait(false);
        await _partitions.EnsureAsync(connection, rows.Select(row => row.Written), cancellation).ConfigureAwait(false);
        return await InTransactionAsync(connection, async () =>
        {
            PostgresUnion.Fate[] fates = await _union.AddAsync(connection, rows, cancellation).ConfigureAwait(false);
            await _rollUps.AddAsync(connection, readings, fates, cancellation).ConfigureAwait(false);
            await NoteAsync(connection, rows, fates, appliedTo, cancellation).ConfigureAwait(false);
            return new StoreReceipt(
                fates.Count(fate => fate == PostgresUnion.Fate.Added),
                fates.Count(fate => fate == PostgresUnion.Fate.Duplicate),
                fates.Count(fate => fate == PostgresUnion.Fate.Fork));
        }, cancellation).ConfigureAwait(false);
    }

    /// <summary>Gives reports new times as one transaction.</summary>
    public async Task<bool> RetimeAsync(NpgsqlConnection connection, SequenceSpan span, ReportTiming timing, CancellationToken cancellation)
    {
        await _names.LearnAsync(connection, [span.Origin], cancellation).ConfigureAwait(false);
        return await InTransactionAsync(connection, async () =>
        {
            int number = _names.Of(span.Origin);
            Dictionary<int, HeldOrigin> held = await PostgresUnion.LockAsync(connection, [number], cancellation).ConfigureAwait(false);
            var moved = new Dictionary<SeriesKey, WrongMinutes.Times>();
            long changed = 0;
            await foreach (Moved[] page in PagesAsync(connection, number, span, timing, moved, cancellation).ConfigureAwait(false))
            {
                changed += page.Length;
                await MoveAsync(connection, number, page, cancellation).ConfigureAwait(false);
            }

            if (changed > 0)
            {
                await _names.LearnAsync(connection, moved.Keys, cancellation).ConfigureAwait(false);
                await _rollUps.RetimeAsync(connection, moved.ToDictionary(entry => _names.Of(entry.Key), entry => entry.Value), cancellation).ConfigureAwait(false);
                await SpanTimesAsync(connection, held[number], cancellation).ConfigureAwait(false);
            }

            return true;
        }, cancellation).ConfigureAwait(false);
    }

    /// <inheritdoc/>
    public void Dispose() => _rollUps.Dispose();

    private async Task<T> InTransactionAsync<T>(NpgsqlConnection connection, Func<Task<T>> work, CancellationToken cancellation)
    {
        await using NpgsqlTransaction transaction = await connection.BeginTransactionAsync(cancellation).ConfigureAwait(false);
        try
        {
            await CheckGenerationAsync(connection, cancellation).ConfigureAwait(false);
            T result = await work().ConfigureAwait(false);

            // A started commit ends: whether it came through would be unknown otherwise.
            await transaction.CommitAsync(CancellationToken.None).ConfigureAwait(false);
            _rollUps.Committed();
            return result;
        }
        catch
        {
            _rollUps.Forget();
            _names.Forget();
            throw;
        }
    }

    /// <summary>A hub of a newer version may have emptied the database; what this one holds of it is void then.</summary>
    private async Task CheckGenerationAsync(NpgsqlConnection connection, CancellationToken cancellation)
    {
        await using var read = new NpgsqlCommand("SELECT generation FROM store_state, pg_advisory_xact_lock_shared(7433002, hashtext(current_schema()))", connection);
        if ((long?)await read.ExecuteScalarAsync(cancellation).ConfigureAwait(false) != _generation)
        {
            throw new StoreFaultedException($"The database {_options.Address} was emptied by another hub, to be filled anew.");
        }
    }

    private async Task NoteAsync(NpgsqlConnection connection, PostgresRow[] rows, PostgresUnion.Fate[] fates, JournalPosition appliedTo, CancellationToken cancellation)
    {
        Dictionary<int, long> kinds = [];
        for (int i = 0; i < rows.Length; i++)
        {
            if (fates[i] != PostgresUnion.Fate.Duplicate)
            {
                int kind = (int)rows[i].Report.Timed.Report.Body.Kind;
                kinds[kind] = kinds.GetValueOrDefault(kind) + 1;
            }
        }

        await using var note = new NpgsqlBatch(connection)
        {
            BatchCommands =
            {
                new("""
                    INSERT INTO hub (journal, segment, place) VALUES ($1, $2, $3) ON CONFLICT (journal) DO UPDATE SET segment = excluded.segment, place = excluded.place
                    WHERE (hub.segment, hub.place) < (excluded.segment, excluded.place)
                    """)
                {
                    Parameters = { new() { Value = _journal }, new() { Value = PostgresNumber.Signed(appliedTo.Segment) }, new() { Value = appliedTo.Offset } },
                },
                new("""
                    INSERT INTO kind_count (journal, kind, reports) SELECT $1, * FROM unnest($2::int[], $3::bigint[])
                    ON CONFLICT (journal, kind) DO UPDATE SET reports = kind_count.reports + excluded.reports
                    """)
                {
                    Parameters = { new() { Value = _journal }, new() { Value = kinds.Keys.ToArray() }, new() { Value = kinds.Values.ToArray() } },
                },
            },
        };
        await note.ExecuteNonQueryAsync(cancellation).ConfigureAwait(false);
    }

    private async IAsyncEnumerable<Moved[]> PagesAsync(
        NpgsqlConnection connection,
        int origin,
        SequenceSpan span,
        ReportTiming timing,
        Dictionary<SeriesKey, WrongMinutes.Times> moved,
        [System.Runtime.CompilerServices.EnumeratorCancellation] CancellationToken cancellation)
    {
        (long sequence, Guid content) = (PostgresNumber.Signed(span.First), Guid.Empty);
        var values = new List<(SeriesKey Series, long Units)>();
        for (int count = RetimePage; count == RetimePage;)
        {
            count = 0;
            var page = new List<Moved>();
            await using (var read = new NpgsqlCommand(
                "SELECT sequence, content, written, time, bytes FROM report WHERE origin = $1 AND sequence >= $2 AND sequence <= $3 AND (sequence, content) >= ($2, $4) ORDER BY sequence, content LIMIT $5",
                connection)
            {
                Parameters = { new() { Value = origin }, new() { Value = sequence }, new() { Value = PostgresNumber.Signed(span.Last) }, new() { Value = content }, new() { Value = RetimePage } },
            })
            await using (NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false))
            {
                while (await row.ReadAsync(cancellation).ConfigureAwait(false))
                {
                    count++;
                    (sequence, content) = (row.GetInt64(0), row.GetGuid(1));
                    Report report = _decode(new RawReport(new ReportKey(span.Origin, PostgresNumber.Unsigned(sequence)), row.GetFieldValue<byte[]>(4)));
                    (long before, long now) = (row.GetInt64(3), Nanoseconds.Of(timing(report)));
                    if (before == now)
                    {
                        continue;
                    }

                    page.Add(new Moved(sequence, row.GetInt64(2), content, now));
                    values.Clear();
                    ReportSeries.Collect(report.Body, values);
                    foreach ((SeriesKey key, long _) in values)
                    {
                        WrongMinutes.Times times = moved.TryGetValue(key, out WrongMinutes.Times? known) ? known : moved[key] = new WrongMinutes.Times();
                        times.Add(before);
                        times.Add(now);
                    }
                }
            }

            // The last one of a page is the first of the next: seen twice, moved once, since the second look finds the new time.
            if (page.Count > 0)
            {
                yield return [.. page];
            }
        }
    }

    private static async Task MoveAsync(NpgsqlConnection connection, int origin, Moved[] page, CancellationToken cancellation)
    {
        await using var move = new NpgsqlCommand(
            """
            UPDATE report r SET time = u.time FROM unnest($2::bigint[], $3::bigint[], $4::uuid[], $5::bigint[]) AS u(sequence, written, content, time)
            WHERE r.origin = $1 AND r.sequence = u.sequence AND r.written = u.written AND r.content = u.content AND r.sequence BETWEEN $6 AND $7
            """,
            connection)
        {
            Parameters =
            {
                new() { Value = origin },
                new() { Value = page.Select(one => one.Sequence).ToArray() },
                new() { Value = page.Select(one => one.Written).ToArray() },
                new() { Value = page.Select(one => one.Content).ToArray() },
                new() { Value = page.Select(one => one.Time).ToArray() },
                new() { Value = page[0].Sequence },
                new() { Value = page[^1].Sequence },
            },
        };
        await move.ExecuteNonQueryAsync(cancellation).ConfigureAwait(false);
    }

    private static async Task SpanTimesAsync(NpgsqlConnection connection, HeldOrigin origin, CancellationToken cancellation)
    {
        await using (var read = new NpgsqlCommand("SELECT min(time), max(time) FROM report WHERE origin = $1", connection) { Parameters = { new() { Value = origin.Id } } })
        await using (NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false))
        {
            await row.ReadAsync(cancellation).ConfigureAwait(false);
            origin.Retime(row.GetInt64(0), row.GetInt64(1));
        }

        await PostgresUnion.SaveAsync(connection, [origin], cancellation).ConfigureAwait(false);
    }

    private readonly record struct Moved(long Sequence, long Written, Guid Content, long Time);
}
