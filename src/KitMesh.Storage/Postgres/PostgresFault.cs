using System.Net.Sockets;
using Npgsql;

namespace KitMesh.Storage.Postgres;

/// <summary>Turns what the client library throws into words, and says whether waiting may mend it.</summary>
internal static class PostgresFault
{
    private const string Safe = "Nothing acknowledged is lost: the journal has it.";

    /// <summary>Whether an exception comes from the database or the way to it.</summary>
    public static bool IsOne(Exception failure) =>
        failure is NpgsqlException or SocketException or TimeoutException or InvalidDataException or IOException
        || (failure is InvalidOperationException && failure.InnerException is NpgsqlException or SocketException);

    /// <summary>Whether the same transaction may succeed when it is run once more.</summary>
    public static bool MayRunAgain(Exception failure) =>
        failure is PostgresException { SqlState: PostgresErrorCodes.DeadlockDetected or PostgresErrorCodes.SerializationFailure };

    /// <summary>The same, for those who ask a store.</summary>
    public static StoreFaultedException Of(Exception failure, PostgresAddress address)
    {
        (string words, bool mayPass) = failure switch
        {
            PostgresException refused => (Refusal(refused, address), IsPassing(refused)),
            InvalidDataException broken => ($"The database {address} holds what no hub wrote: {broken.Message} Drop its schema; the hubs refill it from their journals.", false),
            _ when IsTimeout(failure) => ($"The database {address} did not answer in time. {Safe} The hub tries again.", true),
            _ => ($"The database {address} does not answer ({Innermost(failure)}). {Safe} The hub tries again; check the server, the address and the network.", true),
        };
        return new StoreFaultedException(words, failure) { MayPass = mayPass };
    }

    private static string Refusal(PostgresException refused, PostgresAddress address) => refused.SqlState switch
    {
        PostgresErrorCodes.InvalidPassword or PostgresErrorCodes.InvalidAuthorizationSpecification =>
            $"The database {address} does not let this user in: {refused.MessageText}. Check the user, the password (--store-password-file, PGPASSWORD or a pgpass file) and the server's pg_hba.conf.",
        PostgresErrorCodes.InvalidCatalogName => $"There is no such database: {address}. Make it (createdb), owned by the hub's user.",
        PostgresErrorCodes.InsufficientPrivilege => $"The user of {address} may not do what a store needs: {refused.MessageText}. Let it own the database, or make the schema and let it own that.",
        PostgresErrorCodes.ReadOnlySqlTransaction => $"The database {address} can only be read; it may be a replica. Name the server that takes writes.",
        PostgresErrorCodes.DiskFull => $"The database {address} has no room left: {refused.MessageText}. {Safe} The hub tries again.",
        PostgresErrorCodes.TooManyConnections => $"The database {address} has no connection left. {Safe} The hub tries again.",
        _ => $"The database {address} refused: {refused.MessageText} ({refused.SqlState}). {Safe}",
    };

    /// <summary>Classes of SQLSTATE that end by themselves: connection, resources, the operator at work (PostgreSQL documentation, appendix A).</summary>
    private static bool IsPassing(PostgresException refused) => refused.SqlState[..2] is "08" or "53" or "57" or "40" or "55";

    private static bool IsTimeout(Exception failure) => failure is TimeoutException || failure.InnerException is TimeoutException;

    private static string Innermost(Exception failure)
    {
        while (failure.InnerException is { } inner)
        {
            failure = inner;
        }

        return failure.Message;
    }
}
