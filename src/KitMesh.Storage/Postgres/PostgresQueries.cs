using KitMesh.Domain.Reports;
using KitMesh.Protocol;
using KitMesh.Storage.Queries;
using KitMesh.Storage.RollUps;
using Npgsql;
using NpgsqlTypes;
using ZstdSharp;

namespace KitMesh.Storage.Postgres;

// Problem: a page is wanted in the order (time, origin, sequence, content), by kind, thing and time, from a table that is parted by something else. Method: there
// are two indexes, (kind, time) and (thing, time). A question without a thing asks the first one once for each kind, LATERAL, so that each is read in its order and
// stops at the limit; one with a thing asks the second, and adds the few reports that name it second or later. Origins are ordered
// by their names, not by their numbers, so equal times are sorted after the index (an incremental sort).

/// <summary>What a store answers. Each question has a connection of its own and sees one moment of the database.</summary>
internal static class PostgresQueries
{
    private const string Columns = "o.node, o.epoch, r.sequence, r.time, r.arrived, r.bytes, r.content";

    /// <summary>One page of reports.</summary>
    public static async Task<ReportPage> PageAsync(NpgsqlConnection connection, ReportQuery query, CancellationToken cancellation)
    {
        string direction = query.NewestFirst ? "DESC" : "ASC";
        string order = $"ORDER BY time {direction}, node {direction}, epoch {direction}, sequence {direction}, content {direction} LIMIT $4";
        string inner = $"ORDER BY r.time {direction}, o.node {direction}, o.epoch {direction}, r.sequence {direction}, r.content {direction} LIMIT $4";
        string after = query.After is null ? "" : $" AND (r.time, o.node, o.epoch, r.sequence, r.content) {(query.NewestFirst ? "<" : ">")} ($5, $6, $7, $8, $10)";
        string where = $"r.time >= $2 AND r.time <= $3{after}";
        const string from = "FROM report r JOIN origin o ON o.id = r.origin WHERE";
        string sql = query.Item is null
            ? $"""
                SELECT p.* FROM unnest($1::int[]) AS k(kind)
                CROSS JOIN LATERAL (SELECT {Columns} {from} r.kind = k.kind AND {where} {inner}) AS p {order}
                """
            : $"""
                SELECT p.* FROM (
                  (SELECT {Columns} {from} r.item = (SELECT id FROM thing WHERE name = $9) AND r.kind = ANY($1::int[]) AND {where} {inner})
                  UNION ALL
                  (SELECT {Columns} {from} r.further @> (SELECT array_agg(id) FROM thing WHERE name = $9) AND r.kind = ANY($1::int[]) AND {where} {inner})) AS p {order}
                """;
#pragma warning disable CA2100 // Put together from the constants above; every value is a parameter.
        await using var read = new NpgsqlCommand(sql, connection);
#pragma warning restore CA2100
        (long first, long last) = query.Bounds();
        PagePosition reached = query.After ?? default;
        read.Parameters.Add(new() { Value = await KindsAsync(connection, query, cancellation).ConfigureAwait(false) });
        read.Parameters.Add(new() { Value = first });
        read.Parameters.Add(new() { Value = last });
        read.Parameters.Add(new() { Value = query.Limit + 1 });
        read.Parameters.Add(new() { Value = query.After is null ? 0 : Nanoseconds.Of(reached.Time) });
        read.Parameters.Add(new() { Value = query.After is null ? "" : reached.Key.Origin.Node.Value });
        read.Parameters.Add(new() { Value = PostgresNumber.Signed(reached.Key.Origin.Epoch) });
        read.Parameters.Add(new() { Value = PostgresNumber.Signed(reached.Key.Sequence) });
        read.Parameters.Add(new() { Value = query.Item?.Value ?? "", NpgsqlDbType = NpgsqlDbType.Text });
        read.Parameters.Add(new() { Value = PostgresNumber.Content(reached.Content) });
        var page = new List<KeptReport>();
        await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            var origin = new OriginId(NodeId.Parse(row.GetString(0)), PostgresNumber.Unsigned(row.GetInt64(1)));
            page.Add(Kept(origin, row, 2));
        }

        if (page.Count <= query.Limit)
        {
            return new ReportPage(page, null);
        }

        page.RemoveAt(page.Count - 1);
        return new ReportPage(page, PagePosition.Of(page[^1]));
    }

    /// <summary>Reports of one origin in sequence.</summary>
    public static async Task<IReadOnlyList<KeptReport>> OriginAsync(NpgsqlConnection connection, OriginId origin, ulong first, long maxBytes, CancellationToken cancellation)
    {
        const int step = 1_000;
        var found = new List<KeptReport>();
        long bytes = 0;
        for (int count = step; count == step;)
        {
            count = 0;
            await using var read = new NpgsqlCommand(
                "SELECT r.sequence, r.time, r.arrived, r.bytes FROM report r WHERE r.origin = (SELECT id FROM origin WHERE node = $1 AND epoch = $2) AND NOT r.is_fork AND r.sequence >= $3 ORDER BY r.sequence LIMIT $4",
                connection)
            {
                Parameters = { new() { Value = origin.Node.Value }, new() { Value = PostgresNumber.Signed(origin.Epoch) }, new() { Value = PostgresNumber.Signed(first) }, new() { Value = step } },
            };
            await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
            while (await row.ReadAsync(cancellation).ConfigureAwait(false))
            {
                count++;
                KeptReport report = Kept(origin, row, 0);
                bytes += report.Raw.Bytes.Length;
                if (found.Count > 0 && (bytes > maxBytes || found.Count >= StoreLimits.MaxPage))
                {
                    return found;
                }

                found.Add(report);
                first = report.Raw.Key.Sequence + 1;
            }
        }

        return found;
    }

    /// <summary>Roll-ups of a series.</summary>
    public static async Task<IReadOnlyList<RollUp>> RollUpsAsync(NpgsqlConnection connection, RollUpQuery query, CancellationToken cancellation)
    {
        (long from, long until) = (Nanoseconds.Of(query.From), Nanoseconds.Of(query.Until));
        var found = new List<RollUp>();
        if (from >= until)
        {
            return found;
        }

        (long first, long last) = (BucketPlace.NumberOf(query.Span, from), BucketPlace.NumberOf(query.Span, until - 1));
        using var decompressor = new Decompressor();
        await using var read = new NpgsqlCommand(
            """
            SELECT r.block, r.buckets FROM roll_up r
            WHERE r.series = (SELECT s.id FROM series s JOIN thing t ON t.id = s.item WHERE t.name = $1 AND s.quantity = $2 AND s.sensor = $3)
              AND r.span = $4 AND r.block >= $5 AND r.block <= $6 ORDER BY r.block
            """,
            connection)
        {
            Parameters =
            {
                new() { Value = query.Series.Item.Value },
                new() { Value = (int)query.Series.Quantity },
                new() { Value = System.Text.Encoding.UTF8.GetBytes(query.Series.Sensor) },
                new() { Value = (short)query.Span },
                new() { Value = BucketPlace.Of(query.Span, first).Block },
                new() { Value = BucketPlace.Of(query.Span, last).Block },
            },
        };
        await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            BucketBlock block = BucketBlock.Decode(query.Span, row.GetFieldValue<byte[]>(1), decompressor);
            long firstOfBlock = row.GetInt64(0) * BucketBlock.SlotsOf(query.Span);
            for (int slot = 0; slot < block.Slots.Count; slot++)
            {
                long number = firstOfBlock + slot;
                if (block.Slots[slot] is { } bucket && number >= first && number <= last)
                {
                    found.Add(bucket.Show(query.Series.Quantity, query.Span, number));
                }
            }
        }

        return found;
    }

    /// <summary>Every series that has a reading.</summary>
    public static async Task<IReadOnlyList<SeriesKey>> SeriesAsync(NpgsqlConnection connection, CancellationToken cancellation)
    {
        var found = new List<SeriesKey>();
        await using var read = new NpgsqlCommand("SELECT t.name, s.quantity, s.sensor FROM series s JOIN thing t ON t.id = s.item WHERE s.last_time IS NOT NULL", connection);
        await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            found.Add(new SeriesKey(KitId.Parse(row.GetString(0)), (SeriesQuantity)row.GetInt32(1), System.Text.Encoding.UTF8.GetString(row.GetFieldValue<byte[]>(2))));
        }

        found.Sort();
        return found;
    }

    /// <summary>Reports by kind.</summary>
    public static async Task<IReadOnlyDictionary<ReportKind, long>> KindsAsync(NpgsqlConnection connection, CancellationToken cancellation)
    {
        var found = new SortedDictionary<ReportKind, long>();
        await using var read = new NpgsqlCommand("SELECT kind, sum(reports)::bigint FROM kind_count GROUP BY kind", connection);
        await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            found.Add((ReportKind)row.GetInt32(0), row.GetInt64(1));
        }

        return found;
    }

    /// <summary>Bytes of every table of the schema with its indexes; each partition counts for itself.</summary>
    public static async Task<long> SizeAsync(NpgsqlConnection connection, string schema, CancellationToken cancellation)
    {
        await using var read = new NpgsqlCommand("SELECT coalesce(sum(pg_total_relation_size(c.oid)), 0)::bigint FROM pg_class c WHERE c.relnamespace = to_regnamespace(@schema) AND c.relkind IN ('r', 'm')", connection)
        {
            Parameters = { new("schema", schema) },
        };
        return (long)(await read.ExecuteScalarAsync(cancellation).ConfigureAwait(false))!;
    }

    /// <summary>What is held of each origin.</summary>
    public static async Task<IReadOnlyList<Watermark>> WatermarksAsync(NpgsqlConnection connection, CancellationToken cancellation)
    {
        var found = new List<Watermark>();
        await using var read = new NpgsqlCommand("SELECT node, epoch, held, oldest, newest, last_arrival, forks FROM origin WHERE NOT isempty(held) ORDER BY node, epoch", connection);
        await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            found.Add(new Watermark(
                new OriginId(NodeId.Parse(row.GetString(0)), PostgresNumber.Unsigned(row.GetInt64(1))),
                PostgresUnion.ToRanges(row.GetFieldValue<NpgsqlRange<long>[]>(2)),
                Nanoseconds.ToInstant(row.GetInt64(3)),
                Nanoseconds.ToInstant(row.GetInt64(4)),
                Nanoseconds.ToInstant(row.GetInt64(5)),
                row.GetInt32(6)));
        }

        return found;
    }

    private static async Task<int[]> KindsAsync(NpgsqlConnection connection, ReportQuery query, CancellationToken cancellation) =>
        query.Kinds is { } kinds ? [.. kinds.Select(kind => (int)kind).Distinct()] : [.. (await KindsAsync(connection, cancellation).ConfigureAwait(false)).Keys.Select(kind => (int)kind)];

    private static KeptReport Kept(OriginId origin, NpgsqlDataReader row, int at) => new(
        new RawReport(new ReportKey(origin, PostgresNumber.Unsigned(row.GetInt64(at))), row.GetFieldValue<byte[]>(at + 3)),
        Nanoseconds.ToInstant(row.GetInt64(at + 1)),
        Nanoseconds.ToInstant(row.GetInt64(at + 2)));
}
