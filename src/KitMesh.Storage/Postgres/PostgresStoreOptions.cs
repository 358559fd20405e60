using NodaTime;

namespace KitMesh.Storage.Postgres;

/// <summary>How a <see cref="PostgresReportStore"/> is kept.</summary>
public sealed record PostgresStoreOptions
{
    /// <summary>The database.</summary>
    public required PostgresAddress Address { get; init; }

    /// <summary>This hub's journal, and the version of the rules that time reports.</summary>
    public required StoreStamp Stamp { get; init; }

    /// <summary>World time: the weeks around it have partitions of their own.</summary>
    public required IClock World { get; init; }

    /// <summary>Connections at once: 2 to 100. Default: 8.</summary>
    public int Connections { get; init; } = 8;

    /// <summary>Longest wait for a connection: 1 s to 1 min. Default: 10 s.</summary>
    public TimeSpan ConnectTimeout { get; init; } = TimeSpan.FromSeconds(10);

    /// <summary>Longest wait for one statement: 1 s to 1 h. Default: 2 min.</summary>
    public TimeSpan StatementTimeout { get; init; } = TimeSpan.FromMinutes(2);

    /// <summary>How long a reading is believed to hold when no other follows: 1 minute to 1 day; the same for all hubs of a database. Default: 1 hour.</summary>
    public Duration HoldLimit { get; init; } = Duration.FromHours(1);

    /// <summary>Throws when an option is out of its range.</summary>
    /// <exception cref="ArgumentOutOfRangeException">An option is out of its range.</exception>
    public void Validate()
    {
        InRange(Connections, 2, 100, nameof(Connections));
        InRange(ConnectTimeout, TimeSpan.FromSeconds(1), TimeSpan.FromMinutes(1), nameof(ConnectTimeout));
        InRange(StatementTimeout, TimeSpan.FromSeconds(1), TimeSpan.FromHours(1), nameof(StatementTimeout));
        InRange(HoldLimit, Duration.FromMinutes(1), Duration.FromDays(1), nameof(HoldLimit));
    }

    private static void InRange<T>(T value, T least, T most, string name)
        where T : IComparable<T>
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(value, least, name);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(value, most, name);
    }
}
