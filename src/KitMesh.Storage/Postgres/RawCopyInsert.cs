using System.Globalization;
using KitMesh.Domain.Reports;
using Npgsql;
using NpgsqlTypes;

namespace KitMesh.Storage.Postgres;

/// <summary>The barest way to put reports into this database: COPY into a table without any index, one transaction a batch. For measurements only, as is all here.</summary>
public static class RawCopyInsert
{
    /// <summary>Inserts batches into a new table of the address's schema and drops it again.</summary>
    /// <param name="options">The database.</param>
    /// <param name="batches">Reports.</param>
    /// <param name="machine">Machine time.</param>
    /// <param name="cancellation">Gives up.</param>
    /// <returns>Seconds that the copying and its commits took.</returns>
    /// <exception cref="StoreFaultedException">The database does not answer or refuses.</exception>
    public static Task<double> RunAsync(PostgresStoreOptions options, IEnumerable<IReadOnlyList<RawReport>> batches, TimeProvider machine, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(batches);
        ArgumentNullException.ThrowIfNull(machine);
        return OnAsync(options, async connection =>
        {
            await RunAsync(connection, $"CREATE SCHEMA IF NOT EXISTS {options.Address.Schema}; CREATE TABLE raw (node text, sequence bigint, bytes bytea)", cancellation).ConfigureAwait(false);
            TimeSpan took = TimeSpan.Zero;
            foreach (IReadOnlyList<RawReport> batch in batches)
            {
                long start = machine.GetTimestamp();
                await using (NpgsqlBinaryImporter copy = await connection.BeginBinaryImportAsync("COPY raw (node, sequence, bytes) FROM STDIN (FORMAT BINARY)", cancellation).ConfigureAwait(false))
                {
                    foreach (RawReport report in batch)
                    {
                        copy.StartRow();
                        copy.Write(report.Key.Origin.Node.Value, NpgsqlDbType.Text);
                        copy.Write(PostgresNumber.Signed(report.Key.Sequence), NpgsqlDbType.Bigint);
                        copy.Write(report.Bytes, NpgsqlDbType.Bytea);
                    }

                    await copy.CompleteAsync(cancellation).ConfigureAwait(false);
                }

                took += machine.GetElapsedTime(start);
            }

            await RunAsync(connection, "DROP TABLE raw", cancellation).ConfigureAwait(false);
            return took.TotalSeconds;
        }, cancellation);
    }

    /// <summary>Bytes that the schema takes, indexes included.</summary>
    /// <param name="options">The database.</param>
    /// <param name="cancellation">Gives up.</param>
    public static Task<long> SizeAsync(PostgresStoreOptions options, CancellationToken cancellation) =>
        OnAsync(options, connection => PostgresQueries.SizeAsync(connection, options.Address.Schema, cancellation), cancellation);

    /// <summary>Settles the statistics, as the server does by itself in quiet moments.</summary>
    /// <param name="options">The database.</param>
    /// <param name="cancellation">Gives up.</param>
    public static Task AnalyzeAsync(PostgresStoreOptions options, CancellationToken cancellation) => OnAsync(options, async connection =>
    {
        await RunAsync(connection, "ANALYZE report, series, origin, roll_up, thing", cancellation).ConfigureAwait(false);
        return true;
    }, cancellation);

    /// <summary>Drops the schema with all that is in it.</summary>
    /// <param name="options">The database; its schema must begin with <c>bench_</c>, so that no trip can be meant.</param>
    /// <param name="cancellation">Gives up.</param>
    public static Task DropAsync(PostgresStoreOptions options, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(options);
        if (!options.Address.Schema.StartsWith("bench_", StringComparison.Ordinal))
        {
            throw new ArgumentException("Only a schema of a measurement is dropped.", nameof(options));
        }

        return OnAsync(options, async connection =>
        {
            await RunAsync(connection, string.Create(CultureInfo.InvariantCulture, $"DROP SCHEMA IF EXISTS {options.Address.Schema} CASCADE"), cancellation).ConfigureAwait(false);
            return true;
        }, cancellation);
    }

    private static async Task<T> OnAsync<T>(PostgresStoreOptions options, Func<NpgsqlConnection, Task<T>> work, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(options);
        try
        {
            await using NpgsqlDataSource source = options.Address.Open(options);
            await using NpgsqlConnection connection = await source.OpenConnectionAsync(cancellation).ConfigureAwait(false);
            return await work(connection).ConfigureAwait(false);
        }
        catch (Exception failure) when (PostgresFault.IsOne(failure))
        {
            throw PostgresFault.Of(failure, options.Address);
        }
    }

    private static async Task RunAsync(NpgsqlConnection connection, string sql, CancellationToken cancellation)
    {
#pragma warning disable CA2100 // Our own words and a checked schema name.
        await using var command = new NpgsqlCommand(sql, connection);
#pragma warning restore CA2100
        await command.ExecuteNonQueryAsync(cancellation).ConfigureAwait(false);
    }
}
