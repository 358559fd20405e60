using System.Globalization;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Protocol;
using Npgsql;
using NpgsqlTypes;

namespace KitMesh.Storage.Postgres;

// Problem: reports come by the ten thousand, some of them for the second time, and several hubs bring the same ones at once; each must be in the
// table once. INSERT ... ON CONFLICT from a temporary table would do it and would write everything twice. Method: the row of each origin
// keeps the ranges that are held of it, and a write locks the rows of its origins, in the order of their numbers, until it commits. What lies outside the
// ranges is certainly new and is streamed into the table by COPY; only what lies inside is looked up by its whole key. Trap: the look-up must not be
// planned as a join over the whole table; a LATERAL with LIMIT keeps it one probe a report. The unique key stands behind all of it.

/// <summary>Adds reports to the table: a set union.</summary>
/// <param name="names">Numbers of origins and things.</param>
internal sealed class PostgresUnion(PostgresNames names)
{
    /// <summary>What became of a report.</summary>
    internal enum Fate
    {
        Added,
        Duplicate,
        Fork,
    }

    private const string CopyInto = "COPY report (origin, kind, item, is_fork, sequence, written, time, arrived, content, further, bytes) FROM STDIN (FORMAT BINARY)";

    /// <summary>Adds reports inside a transaction.</summary>
    public async Task<Fate[]> AddAsync(NpgsqlConnection connection, IReadOnlyList<PostgresRow> rows, CancellationToken cancellation)
    {
        Dictionary<int, HeldOrigin> held = await LockAsync(connection, [.. rows.Select(OriginOf).Distinct().Order()], cancellation).ConfigureAwait(false);
        bool[] known = await FindKnownAsync(connection, rows, held, cancellation).ConfigureAwait(false);
        Fate[] fates = Judge(rows, held, known);
        await CopyAsync(connection, rows, fates, cancellation).ConfigureAwait(false);
        await SaveAsync(connection, held.Values.Where(origin => origin.IsChanged), cancellation).ConfigureAwait(false);
        return fates;
    }

    /// <summary>Locks the rows of origins until the transaction ends.</summary>
    public static async Task<Dictionary<int, HeldOrigin>> LockAsync(NpgsqlConnection connection, int[] origins, CancellationToken cancellation)
    {
        var held = new Dictionary<int, HeldOrigin>();
        await using var read = new NpgsqlCommand("SELECT id, held, oldest, newest, last_arrival, forks FROM origin WHERE id = ANY($1) ORDER BY id FOR UPDATE", connection) { Parameters = { new() { Value = origins } } };
        await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            held.Add(row.GetInt32(0), new HeldOrigin(row.GetInt32(0), ToRanges(row.GetFieldValue<NpgsqlRange<long>[]>(1)))
            {
                Oldest = row.GetInt64(2),
                Newest = row.GetInt64(3),
                LastArrival = row.GetInt64(4),
                Forks = row.GetInt32(5),
            });
        }

        return held;
    }

    /// <summary>Writes the rows of origins.</summary>
    public static async Task SaveAsync(NpgsqlConnection connection, IEnumerable<HeldOrigin> origins, CancellationToken cancellation)
    {
        HeldOrigin[] changed = [.. origins];
        if (changed.Length == 0)
        {
            return;
        }

        await using var save = new NpgsqlCommand(
            """
            UPDATE origin o SET held = u.held::int8multirange, oldest = u.oldest, newest = u.newest, last_arrival = u.last_arrival, forks = u.forks
            FROM unnest($1::int[], $2::text[], $3::bigint[], $4::bigint[], $5::bigint[], $6::int[]) AS u(id, held, oldest, newest, last_arrival, forks)
            WHERE o.id = u.id
            """,
            connection)
        {
            Parameters =
            {
                new() { Value = changed.Select(origin => origin.Id).ToArray() },
                new() { Value = changed.Select(origin => ToText(origin.Ranges)).ToArray() },
                new() { Value = changed.Select(origin => origin.Oldest).ToArray() },
                new() { Value = changed.Select(origin => origin.Newest).ToArray() },
                new() { Value = changed.Select(origin => origin.LastArrival).ToArray() },
                new() { Value = changed.Select(origin => origin.Forks).ToArray() },
            },
        };
        await save.ExecuteNonQueryAsync(cancellation).ConfigureAwait(false);
    }

    /// <summary>Ranges as the database keeps them: upper ends excluded.</summary>
    public static SequenceRanges ToRanges(NpgsqlRange<long>[] stored) => SequenceRanges.FromUnordered(stored.Select(range =>
        new SequenceRange(PostgresNumber.Unsigned(range.LowerBound), PostgresNumber.Unsigned(range.UpperBoundIsInclusive ? range.UpperBound : range.UpperBound - 1))));

    private static string ToText(SequenceRanges ranges) =>
        $"{{{string.Join(',', ranges.Select(range => string.Create(CultureInfo.InvariantCulture, $"[{PostgresNumber.Signed(range.First)},{PostgresNumber.Signed(range.Last)}]")))}}}";

    private int OriginOf(PostgresRow row) => names.Of(row.Report.Raw.Key.Origin);

    /// <summary>Which of the reports with a taken sequence are in the table, byte for byte.</summary>
    private async Task<bool[]> FindKnownAsync(NpgsqlConnection connection, IReadOnlyList<PostgresRow> rows, Dictionary<int, HeldOrigin> held, CancellationToken cancellation)
    {
        bool[] known = new bool[rows.Count];
        int[] asked = [.. Enumerable.Range(0, rows.Count).Where(i => held[OriginOf(rows[i])].Ranges.Contains(rows[i].Report.Raw.Key.Sequence))];
        if (asked.Length == 0)
        {
            return known;
        }

        await using var find = new NpgsqlCommand(
            """
            SELECT u.place FROM unnest($1::int[], $2::bigint[], $3::bigint[], $4::uuid[], $5::int[]) AS u(origin, sequence, written, content, place)
            CROSS JOIN LATERAL (
              SELECT 1 FROM report r WHERE r.origin = u.origin AND r.sequence = u.sequence AND r.written = u.written AND r.content = u.content LIMIT 1) AS found
            """,
            connection)
        {
            Parameters =
            {
                new() { Value = asked.Select(i => OriginOf(rows[i])).ToArray() },
                new() { Value = asked.Select(i => PostgresNumber.Signed(rows[i].Report.Raw.Key.Sequence)).ToArray() },
                new() { Value = asked.Select(i => rows[i].Written).ToArray() },
                new() { Value = asked.Select(i => rows[i].Content).ToArray() },
                new() { Value = asked },
            },
        };
        await using NpgsqlDataReader row = await find.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            known[row.GetInt32(0)] = true;
        }

        return known;
    }

    private Fate[] Judge(IReadOnlyList<PostgresRow> rows, Dictionary<int, HeldOrigin> held, bool[] known)
    {
        var fates = new Fate[rows.Count];
        var firsts = new Dictionary<(int Origin, ulong Sequence), Guid>(rows.Count);
        var beside = new HashSet<(int Origin, ulong Sequence, Guid Content)>();
        for (int i = 0; i < fates.Length; i++)
        {
            ReportKey key = rows[i].Report.Raw.Key;
            HeldOrigin origin = held[OriginOf(rows[i])];
            bool isTaken = origin.Ranges.Contains(key.Sequence);
            if (known[i])
            {
                fates[i] = Fate.Duplicate;
                continue;
            }

            if (!isTaken && firsts.TryAdd((origin.Id, key.Sequence), rows[i].Content))
            {
                fates[i] = Fate.Added;
                origin.Add(key.Sequence);
            }
            else if (!isTaken && firsts[(origin.Id, key.Sequence)] == rows[i].Content)
            {
                fates[i] = Fate.Duplicate;
                continue;
            }
            else if (beside.Add((origin.Id, key.Sequence, rows[i].Content)))
            {
                fates[i] = Fate.Fork;
                origin.Forks++;
            }
            else
            {
                fates[i] = Fate.Duplicate;
                continue;
            }

            origin.See(rows[i].Time, Nanoseconds.Of(rows[i].Report.Arrived));
        }

        foreach (HeldOrigin origin in held.Values)
        {
            origin.Join();
        }

        return fates;
    }

    private async Task CopyAsync(NpgsqlConnection connection, IReadOnlyList<PostgresRow> rows, Fate[] fates, CancellationToken cancellation)
    {
        if (Array.TrueForAll(fates, fate => fate == Fate.Duplicate))
        {
            return;
        }

        await using NpgsqlBinaryImporter copy = await connection.BeginBinaryImportAsync(CopyInto, cancellation).ConfigureAwait(false);
        for (int i = 0; i < fates.Length; i++)
        {
            if (fates[i] != Fate.Duplicate)
            {
                Write(copy, rows[i], fates[i] == Fate.Fork);
            }
        }

        await copy.CompleteAsync(cancellation).ConfigureAwait(false);
    }

    /// <summary>Writes into the client's buffer; only now and then does a call reach the network.</summary>
    private void Write(NpgsqlBinaryImporter copy, PostgresRow row, bool isFork)
    {
        copy.StartRow();
        copy.Write(OriginOf(row), NpgsqlDbType.Integer);
        copy.Write((int)row.Report.Timed.Report.Body.Kind, NpgsqlDbType.Integer);
        if (row.Items.Length > 0)
        {
            copy.Write(names.Of(row.Items[0]), NpgsqlDbType.Integer);
        }
        else
        {
            copy.WriteNull();
        }

        copy.Write(isFork, NpgsqlDbType.Boolean);
        copy.Write(PostgresNumber.Signed(row.Report.Raw.Key.Sequence), NpgsqlDbType.Bigint);
        copy.Write(row.Written, NpgsqlDbType.Bigint);
        copy.Write(row.Time, NpgsqlDbType.Bigint);
        copy.Write(Nanoseconds.Of(row.Report.Arrived), NpgsqlDbType.Bigint);
        copy.Write(row.Content, NpgsqlDbType.Uuid);
        if (row.Items.Length > 1)
        {
            copy.Write(row.Items.Skip(1).Select(names.Of).ToArray(), NpgsqlDbType.Array | NpgsqlDbType.Integer);
        }
        else
        {
            copy.WriteNull();
        }

        copy.Write(row.Report.Raw.Bytes, NpgsqlDbType.Bytea);
    }
}
