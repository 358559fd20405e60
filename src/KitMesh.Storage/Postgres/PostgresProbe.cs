using System.Globalization;
using Npgsql;

namespace KitMesh.Storage.Postgres;

/// <summary>Looks at a database without changing it.</summary>
public static class PostgresProbe
{
    /// <summary>What a start would find, in words for a person.</summary>
    /// <param name="options">How the store would be kept.</param>
    /// <param name="cancellation">Gives up.</param>
    /// <exception cref="StoreFaultedException">A hub could not use it, and why.</exception>
    public static async Task<string> LookAsync(PostgresStoreOptions options, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(options);
        PostgresAddress address = options.Address;
        try
        {
            await using NpgsqlDataSource source = address.Open(options);
            await using NpgsqlConnection connection = await source.OpenConnectionAsync(cancellation).ConfigureAwait(false);
            PostgresSchema.CheckServer(connection, address);
            await using (var replica = new NpgsqlCommand("SELECT pg_is_in_recovery()", connection))
            {
                if ((bool)(await replica.ExecuteScalarAsync(cancellation).ConfigureAwait(false))!)
                {
                    throw new StoreFaultedException($"The database {address} is a replica and can only be read. Name the server that takes writes.");
                }
            }

            int version = await PostgresSchema.ReadVersionAsync(connection, address.Schema, cancellation).ConfigureAwait(false);
            if (version > PostgresSchema.Newest)
            {
                throw PostgresSchema.TooNew(address, version);
            }

            await CheckRightsAsync(connection, address, cancellation).ConfigureAwait(false);
            string tables = version == 0 ? "its tables are made at the first start"
                : version < PostgresSchema.Newest ? string.Create(CultureInfo.InvariantCulture, $"its tables are of version {version} and are brought to {PostgresSchema.Newest} at the start")
                : string.Create(CultureInfo.InvariantCulture, $"its tables are of version {version}");
            return $"{address} answers (PostgreSQL {connection.PostgreSqlVersion}), and {tables}.";
        }
        catch (Exception failure) when (PostgresFault.IsOne(failure))
        {
            throw PostgresFault.Of(failure, address);
        }
    }

    private static async Task CheckRightsAsync(NpgsqlConnection connection, PostgresAddress address, CancellationToken cancellation)
    {
        await using var rights = new NpgsqlCommand(
            """
            SELECT CASE WHEN to_regnamespace(@schema) IS NULL THEN has_database_privilege(current_database(), 'CREATE')
              ELSE has_schema_privilege(@schema, 'CREATE') AND has_schema_privilege(@schema, 'USAGE')
                AND NOT EXISTS (SELECT 1 FROM pg_tables WHERE schemaname = @schema AND NOT pg_has_role(tableowner, 'USAGE')) END
            """,
            connection)
        {
            Parameters = { new("schema", address.Schema) },
        };
        if (!(bool)(await rights.ExecuteScalarAsync(cancellation).ConfigureAwait(false))!)
        {
            throw new StoreFaultedException($"The user of {address} may not make or change the tables of schema {address.Schema}. Let it own the database, or make the schema and let it own that.");
        }
    }
}
