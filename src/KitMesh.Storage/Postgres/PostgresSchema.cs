using System.Globalization;
using System.Reflection;
using KitMesh.Sync.Journal;
using Npgsql;

namespace KitMesh.Storage.Postgres;

// Problem: several hubs of several versions open one database at any time, perhaps all at once. Method: numbered files of SQL, each applied
// once, in one transaction under an advisory lock, and noted in schema_version. A database with more versions than this program has files is
// of a newer program and refused. The rules that time reports have a version too (the fold): an older one empties the database and
// raises its generation, which every write reads, so that a hub that still runs stops writing old times into it.

/// <summary>Makes the tables, or brings them up to date, and says where this hub's replay goes on.</summary>
internal static class PostgresSchema
{
    /// <summary>The oldest server: multiranges came with it.</summary>
    public const int LeastServer = 14;

    /// <summary>Class of the advisory locks; the second key is the schema.</summary>
    private const string MigrationLock = "SELECT pg_advisory_xact_lock(7433001, hashtext(@schema))";

    private static readonly (int Version, string Sql)[] Steps = [.. ReadSteps().OrderBy(step => step.Version)];

    /// <summary>The newest version that this program knows.</summary>
    public static int Newest => Steps[^1].Version;

    /// <summary>Prepares the database.</summary>
    public static async Task<(StoreOpening Opening, long Generation)> PrepareAsync(NpgsqlConnection connection, PostgresStoreOptions options, CancellationToken cancellation)
    {
        PostgresAddress address = options.Address;
        CheckServer(connection, address);
        await using NpgsqlTransaction transaction = await connection.BeginTransactionAsync(cancellation).ConfigureAwait(false);
        await using (var wait = new NpgsqlCommand(MigrationLock, connection) { Parameters = { new("schema", address.Schema) } })
        {
            await wait.ExecuteNonQueryAsync(cancellation).ConfigureAwait(false);
        }

        int version = await ReadVersionAsync(connection, address.Schema, cancellation).ConfigureAwait(false);
        if (version > Newest)
        {
            throw TooNew(address, version);
        }

        foreach ((int number, string sql) in Steps.Where(step => step.Version > version))
        {
            if (number == 1)
            {
                // Asked first: the statement wants rights over the database even where the schema is there.
                if (!await HasSchemaAsync(connection, address.Schema, cancellation).ConfigureAwait(false))
                {
                    await RunAsync(connection, $"CREATE SCHEMA {address.Schema}", cancellation).ConfigureAwait(false);
                }

                await RunAsync(connection, "CREATE TABLE schema_version (version integer PRIMARY KEY, applied timestamptz NOT NULL DEFAULT now())", cancellation).ConfigureAwait(false);
            }

            await RunAsync(connection, sql, cancellation).ConfigureAwait(false);
            await RunAsync(connection, string.Create(CultureInfo.InvariantCulture, $"INSERT INTO schema_version (version) VALUES ({number})"), cancellation).ConfigureAwait(false);
        }

        long generation = await TakeFoldAsync(connection, options, cancellation).ConfigureAwait(false);
        StoreOpening opening = await OpeningAsync(connection, options.Stamp, cancellation).ConfigureAwait(false);
        await transaction.CommitAsync(cancellation).ConfigureAwait(false);
        return (opening, generation);
    }

    /// <summary>Refuses a server that is too old.</summary>
    public static void CheckServer(NpgsqlConnection connection, PostgresAddress address)
    {
        if (connection.PostgreSqlVersion.Major < LeastServer)
        {
            throw new StoreFaultedException($"The database {address} is PostgreSQL {connection.PostgreSqlVersion}; version {LeastServer} or later is needed.");
        }
    }

    /// <summary>The version of the tables; 0 when there are none.</summary>
    public static async Task<int> ReadVersionAsync(NpgsqlConnection connection, string schema, CancellationToken cancellation)
    {
        await using var exists = new NpgsqlCommand("SELECT to_regclass(@table) IS NOT NULL", connection) { Parameters = { new("table", $"{schema}.schema_version") } };
        if (!(bool)(await exists.ExecuteScalarAsync(cancellation).ConfigureAwait(false))!)
        {
            return 0;
        }

        await using var read = new NpgsqlCommand("SELECT coalesce(max(version), 0) FROM schema_version", connection);
        return (int)(await read.ExecuteScalarAsync(cancellation).ConfigureAwait(false))!;
    }

    private static async Task<bool> HasSchemaAsync(NpgsqlConnection connection, string schema, CancellationToken cancellation)
    {
        await using var exists = new NpgsqlCommand("SELECT to_regnamespace(@schema) IS NOT NULL", connection) { Parameters = { new("schema", schema) } };
        return (bool)(await exists.ExecuteScalarAsync(cancellation).ConfigureAwait(false))!;
    }

    /// <summary>Refuses tables of a newer program.</summary>
    public static StoreFaultedException TooNew(PostgresAddress address, int version) =>
        new(string.Create(CultureInfo.InvariantCulture, $"The tables in {address} are of version {version}; this program knows versions up to {Newest}. A newer hub made them: update this one. Nothing was changed."));

    private static async Task<long> TakeFoldAsync(NpgsqlConnection connection, PostgresStoreOptions options, CancellationToken cancellation)
    {
        int own = options.Stamp.FoldVersion;
        await RunAsync(connection, string.Create(CultureInfo.InvariantCulture, $"INSERT INTO store_state (generation, fold) VALUES (1, {own}) ON CONFLICT DO NOTHING"), cancellation).ConfigureAwait(false);
        (long generation, int fold) = (0, 0);
        await using (var read = new NpgsqlCommand("SELECT generation, fold FROM store_state", connection))
        await using (NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false))
        {
            await row.ReadAsync(cancellation).ConfigureAwait(false);
            (generation, fold) = (row.GetInt64(0), row.GetInt32(1));
        }

        if (fold > own)
        {
            throw new StoreFaultedException(string.Create(CultureInfo.InvariantCulture, $"The reports in {options.Address} are timed by rules of version {fold}; this program knows version {own}. A newer hub filled it: update this one. Nothing was changed."));
        }

        if (fold == own)
        {
            return generation;
        }

        // No write of an older hub may be under way, and the next one must see the new generation.
        await RunAsync(connection, "SELECT pg_advisory_xact_lock(7433002, hashtext(current_schema()))", cancellation).ConfigureAwait(false);
        await RunAsync(connection, string.Create(CultureInfo.InvariantCulture, $"""
            TRUNCATE report, roll_up, kind_count, hub;
            UPDATE origin SET held = DEFAULT, oldest = DEFAULT, newest = DEFAULT, last_arrival = DEFAULT, forks = DEFAULT;
            UPDATE series SET last_time = NULL, last_origin = NULL, last_sequence = NULL, last_units = NULL, version = version + 1;
            UPDATE store_state SET generation = generation + 1, fold = {own};
            """), cancellation).ConfigureAwait(false);
        return generation + 1;
    }

    private static async Task<StoreOpening> OpeningAsync(NpgsqlConnection connection, StoreStamp stamp, CancellationToken cancellation)
    {
        await using var read = new NpgsqlCommand("SELECT segment, place FROM hub WHERE journal = @journal", connection) { Parameters = { new("journal", PostgresNumber.Signed(stamp.JournalId)) } };
        await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        return await row.ReadAsync(cancellation).ConfigureAwait(false)
            ? new StoreOpening(StoreOpeningState.Kept, new JournalPosition(PostgresNumber.Unsigned(row.GetInt64(0)), row.GetInt64(1)))
            : new StoreOpening(StoreOpeningState.Fresh, JournalPosition.Start);
    }

    private static async Task RunAsync(NpgsqlConnection connection, string sql, CancellationToken cancellation)
    {
#pragma warning disable CA2100 // The text is ours: embedded files and numbers.
        await using var command = new NpgsqlCommand(sql, connection);
#pragma warning restore CA2100
        await command.ExecuteNonQueryAsync(cancellation).ConfigureAwait(false);
    }

    private static IEnumerable<(int Version, string Sql)> ReadSteps()
    {
        Assembly assembly = typeof(PostgresSchema).Assembly;
        foreach (string name in assembly.GetManifestResourceNames())
        {
            using var reader = new StreamReader(assembly.GetManifestResourceStream(name)!);
            yield return (int.Parse(name.AsSpan(0, 4), CultureInfo.InvariantCulture), reader.ReadToEnd());
        }
    }
}
