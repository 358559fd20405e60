using System.Globalization;
using NodaTime;
using Npgsql;

namespace KitMesh.Storage.Postgres;

// Problem: an index over every report of a season outgrows memory, and a season is given up as a whole; partitions by time answer both.
// Trap 1: the time that is believed moves when a clock pair arrives, and a unique key must hold the column that parts the table. So the table is
// parted by what the device's own clock said when it wrote the report: that is part of the report's bytes and never changes, and equal
// bytes always land in the same partition, where the unique key finds them. Trap 2: devices wake with dead clocks, in 1970 or 2099, and must not
// make a partition for every week of a century. So only weeks from two years back to half a year ahead of the hub's world time get one;
// all else goes to the default partition. Trap 3: rows that fell into the default partition before their week was due forbid to attach that week;
// they are moved in the same transaction.

/// <summary>The partitions of the reports, a week each.</summary>
/// <param name="world">World time.</param>
internal sealed class PostgresPartitions(IClock world)
{
    /// <summary>Length of a partition in nanoseconds: 7 days.</summary>
    public const long Week = 7L * 24 * 60 * 60 * 1_000_000_000;

    private const int WeeksBack = 104;
    private const int WeeksAhead = 26;
    private const int MadeAhead = 4;
    private readonly HashSet<long> _known = [];

    /// <summary>The week, counted from 1970-01-01, of a device's time.</summary>
    public static long WeekOf(long written) => (written / Week) - (written % Week < 0 ? 1 : 0);

    /// <summary>Sees to it that reports of some times find their partitions, and that the next weeks have theirs.</summary>
    public async Task EnsureAsync(NpgsqlConnection connection, IEnumerable<long> written, CancellationToken cancellation)
    {
        long now = WeekOf(Protocol.Nanoseconds.Of(world.GetCurrentInstant()));
        var wanted = new SortedSet<long>();
        for (long week = now; week <= now + MadeAhead; week++)
        {
            wanted.Add(week);
        }

        foreach (long time in written)
        {
            long week = WeekOf(time);
            if (week >= now - WeeksBack && week <= now + WeeksAhead)
            {
                wanted.Add(week);
            }
        }

        wanted.ExceptWith(_known);
        if (wanted.Count == 0)
        {
            return;
        }

        await using NpgsqlTransaction transaction = await connection.BeginTransactionAsync(cancellation).ConfigureAwait(false);
        await using (var others = new NpgsqlCommand("SELECT pg_advisory_xact_lock(7433003, hashtext(current_schema()))", connection))
        {
            await others.ExecuteNonQueryAsync(cancellation).ConfigureAwait(false);
        }

        HashSet<long> there = await ReadAsync(connection, cancellation).ConfigureAwait(false);
        foreach (long week in wanted.Where(week => !there.Contains(week)))
        {
            await MakeAsync(connection, week, cancellation).ConfigureAwait(false);
        }

        await transaction.CommitAsync(cancellation).ConfigureAwait(false);
        _known.UnionWith(there);
        _known.UnionWith(wanted);
    }

    private static async Task<HashSet<long>> ReadAsync(NpgsqlConnection connection, CancellationToken cancellation)
    {
        var there = new HashSet<long>();
        await using var read = new NpgsqlCommand("SELECT week FROM report_week", connection);
        await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            there.Add(row.GetInt64(0));
        }

        return there;
    }

    private static async Task MakeAsync(NpgsqlConnection connection, long week, CancellationToken cancellation)
    {
        (long from, long until) = (week * Week, (week + 1) * Week);
        string table = string.Create(CultureInfo.InvariantCulture, $"report_week_{week}");
        string sql = string.Create(CultureInfo.InvariantCulture, $"""
            CREATE TABLE {table} (LIKE report INCLUDING DEFAULTS);
            WITH moved AS (DELETE FROM report_other WHERE written >= {from} AND written < {until} RETURNING *) INSERT INTO {table} SELECT * FROM moved;
            ALTER TABLE report ATTACH PARTITION {table} FOR VALUES FROM ({from}) TO ({until});
            INSERT INTO report_week (week) VALUES ({week});
            """);
#pragma warning disable CA2100 // Numbers only; the statement takes no parameters.
        await using var make = new NpgsqlCommand(sql, connection);
#pragma warning restore CA2100
        await make.ExecuteNonQueryAsync(cancellation).ConfigureAwait(false);
    }
}
