using KitMesh.Domain.Reports;
using KitMesh.Storage.RollUps;
using Npgsql;

namespace KitMesh.Storage.Postgres;

/// <summary>Keeps the roll-ups with the reports, in the transaction that brings them.</summary>
/// <remarks>
/// Problem: two hubs that store the same reading must count it once, and two that store different readings of one series must both be counted.
/// Method: only a report that this transaction put into the table is rolled up, and the row of its series is locked, in the order of the numbers
/// and after all origins, until the commit. Readings after the last one are appended; a late one, or one whose time moved, has its minutes built anew
/// from the table, a day at a time (docs/storage.md).
/// </remarks>
internal sealed class PostgresRollUps(PostgresNames names, ReportDecoder decode, long holdLimit) : IDisposable
{
    private readonly RollUpBlocks _blocks = new(holdLimit);
    private RollUpLine[] _held = [];

    /// <summary>The readings of reports, by series and with the place of their report; odd times are left out.</summary>
    public static Dictionary<SeriesKey, List<(Sample Sample, int Place)>> Collect(IReadOnlyList<PostgresRow> rows)
    {
        var bySeries = new Dictionary<SeriesKey, List<(Sample Sample, int Place)>>();
        var values = new List<(SeriesKey Series, long Units)>();
        for (int i = 0; i < rows.Count; i++)
        {
            if (!IsBelieved(rows[i].Time))
            {
                continue;
            }

            values.Clear();
            ReportSeries.Collect(rows[i].Report.Timed.Report.Body, values);
            foreach ((SeriesKey key, long units) in values)
            {
                if (!bySeries.TryGetValue(key, out List<(Sample Sample, int Place)>? samples))
                {
                    bySeries.Add(key, samples = []);
                }

                samples.Add((new Sample(rows[i].Time, rows[i].Report.Raw.Key, units), i));
            }
        }

        return bySeries;
    }

    /// <summary>Whether a time is near enough to be rolled up.</summary>
    public static bool IsBelieved(long time) => Math.Abs(time / 2) <= RollUpBuckets.FarthestTime / 2;

    /// <summary>Rolls up the reports that were new.</summary>
    public async Task AddAsync(NpgsqlConnection connection, Dictionary<SeriesKey, List<(Sample Sample, int Place)>> readings, PostgresUnion.Fate[] fates, CancellationToken cancellation)
    {
        var bySeries = new Dictionary<int, List<Sample>>();
        foreach ((SeriesKey key, List<(Sample Sample, int Place)> samples) in readings)
        {
            List<Sample> fresh = [.. samples.Where(reading => fates[reading.Place] != PostgresUnion.Fate.Duplicate).Select(reading => reading.Sample).Order()];
            if (fresh.Count > 0)
            {
                bySeries.Add(names.Of(key), fresh);
            }
        }

        if (bySeries.Count == 0)
        {
            _held = [];
            return;
        }

        _held = await LockAsync(connection, bySeries.Keys, cancellation).ConfigureAwait(false);
        await _blocks.FetchAsync(connection, _held.Where(line => line.Last is not null).SelectMany(line => BlocksAt(line.Number, line.Last!.Value.TimeNanoseconds)), cancellation).ConfigureAwait(false);
        var wrong = new WrongMinutes(holdLimit);
        foreach (RollUpLine line in _held)
        {
            Append(line, bySeries[line.Number], wrong);
        }

        await RebuildAsync(connection, wrong, cancellation).ConfigureAwait(false);
        await SaveAsync(connection, cancellation).ConfigureAwait(false);
    }

    /// <summary>Builds anew what reports with new times made wrong.</summary>
    /// <param name="connection">The connection with the open transaction.</param>
    /// <param name="moved">Series and the times, old and new, of readings that moved.</param>
    /// <param name="cancellation">Gives up.</param>
    public async Task RetimeAsync(NpgsqlConnection connection, Dictionary<int, WrongMinutes.Times> moved, CancellationToken cancellation)
    {
        _held = await LockAsync(connection, moved.Keys, cancellation).ConfigureAwait(false);
        var wrong = new WrongMinutes(holdLimit);
        foreach (RollUpLine line in _held)
        {
            foreach (long minute in moved[line.Number].Minutes)
            {
                wrong.TouchMinute(line, minute);
            }

            // The reading that was the last now holds for a while, and the one that is the last no longer does.
            Sample? last = await FindLastAsync(connection, line, cancellation).ConfigureAwait(false);
            Touch(wrong, line, line.Last);
            Touch(wrong, line, last);
            line.Last = last;
        }

        await RebuildAsync(connection, wrong, cancellation).ConfigureAwait(false);
        await SaveAsync(connection, cancellation).ConfigureAwait(false);
    }

    /// <summary>The transaction is in the database.</summary>
    public void Committed() => _blocks.Committed(_held);

    /// <summary>The transaction failed.</summary>
    public void Forget() => _blocks.Forget();

    /// <inheritdoc/>
    public void Dispose() => _blocks.Dispose();

    private void Append(RollUpLine line, List<Sample> samples, WrongMinutes wrong)
    {
        RollUpBuckets buckets = _blocks.Of(line.Number);
        foreach (Sample sample in samples)
        {
            if (line.Last is { } known && sample.CompareTo(known) < 0)
            {
                wrong.Touch(line, sample.TimeNanoseconds);
            }
            else
            {
                buckets.Append(line.Last, sample);
                line.Last = sample;
            }
        }
    }

    private async Task<RollUpLine[]> LockAsync(NpgsqlConnection connection, IEnumerable<int> series, CancellationToken cancellation)
    {
        var found = new List<(int Number, long Version, int? Origin, long Time, long Sequence, long Units)>();
        await using (var read = new NpgsqlCommand("SELECT id, version, last_origin, last_time, last_sequence, last_units FROM series WHERE id = ANY($1) ORDER BY id FOR UPDATE", connection) { Parameters = { new() { Value = series.Order().ToArray() } } })
        await using (NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false))
        {
            while (await row.ReadAsync(cancellation).ConfigureAwait(false))
            {
                bool isEmpty = await row.IsDBNullAsync(2, cancellation).ConfigureAwait(false);
                found.Add(isEmpty ? (row.GetInt32(0), row.GetInt64(1), null, 0, 0, 0) : (row.GetInt32(0), row.GetInt64(1), row.GetInt32(2), row.GetInt64(3), row.GetInt64(4), row.GetInt64(5)));
            }
        }

        var lines = new RollUpLine[found.Count];
        for (int i = 0; i < lines.Length; i++)
        {
            (SeriesKey key, int item) = names.SeriesOf(found[i].Number);
            lines[i] = new RollUpLine(found[i].Number, key, item, found[i].Version);
            if (found[i].Origin is { } origin)
            {
                lines[i].Last = new Sample(found[i].Time, new ReportKey(await names.OriginAsync(connection, origin, cancellation).ConfigureAwait(false), PostgresNumber.Unsigned(found[i].Sequence)), found[i].Units);
            }

            _blocks.Meet(lines[i]);
        }

        return lines;
    }

    private async Task RebuildAsync(NpgsqlConnection connection, WrongMinutes wrong, CancellationToken cancellation)
    {
        foreach (IReadOnlyDictionary<RollUpLine, WrongMinutes.Span> day in wrong.Days)
        {
            await _blocks.FetchAsync(connection, day.SelectMany(entry => entry.Value.Blocks(entry.Key.Number)), cancellation).ConfigureAwait(false);
            long minute = BucketPlace.LengthOf(RollUpSpan.Minute);
            long from = (day.Values.Min(span => span.First) * minute) - holdLimit;
            long until = (day.Values.Max(span => span.Last) + 1) * minute;
            Dictionary<SeriesKey, List<Sample>> samples = await GatherAsync(connection, [.. day.Keys], from, until, cancellation).ConfigureAwait(false);
            foreach ((RollUpLine line, WrongMinutes.Span span) in day)
            {
                List<Sample> own = samples[line.Key];
                own.Sort();
                _blocks.Of(line.Number).Rebuild(span.First, span.Last, own, line.Last ?? default);
            }
        }
    }

    private async Task<Dictionary<SeriesKey, List<Sample>>> GatherAsync(NpgsqlConnection connection, RollUpLine[] lines, long from, long until, CancellationToken cancellation)
    {
        Dictionary<SeriesKey, List<Sample>> samples = lines.ToDictionary(line => line.Key, _ => new List<Sample>());
        await using var read = new NpgsqlCommand($"{ReadingsOf} AND r.time >= $3 AND r.time < $4", connection)
        {
            Parameters =
            {
                new() { Value = lines.Select(line => line.Item).Distinct().ToArray() },
                new() { Value = RolledKinds },
                new() { Value = from },
                new() { Value = until },
            },
        };
        await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            foreach ((SeriesKey key, Sample sample) in SamplesOf(row))
            {
                if (IsBelieved(sample.TimeNanoseconds) && samples.TryGetValue(key, out List<Sample>? list))
                {
                    list.Add(sample);
                }
            }
        }

        return samples;
    }

    /// <summary>The last reading of a series, found by looking from the newest report of its thing backwards.</summary>
    private async Task<Sample?> FindLastAsync(NpgsqlConnection connection, RollUpLine line, CancellationToken cancellation)
    {
        for (int limit = 256; ; limit *= 8)
        {
            (Sample? best, long oldest, int count) = (null, long.MaxValue, 0);
            await using var read = new NpgsqlCommand($"{ReadingsOf} AND r.time BETWEEN $3 AND $4 ORDER BY r.time DESC LIMIT $5", connection)
            {
                Parameters =
                {
                    new() { Value = new[] { line.Item } },
                    new() { Value = RolledKinds },
                    new() { Value = -RollUpBuckets.FarthestTime },
                    new() { Value = RollUpBuckets.FarthestTime },
                    new() { Value = limit },
                },
            };
            await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
            while (await row.ReadAsync(cancellation).ConfigureAwait(false))
            {
                count++;
                foreach ((SeriesKey key, Sample sample) in SamplesOf(row))
                {
                    oldest = sample.TimeNanoseconds;
                    best = key == line.Key && (best is not { } known || sample.CompareTo(known) > 0) ? sample : best;
                }
            }

            // Of equal times the greatest origin is the last, so the page must reach past them.
            if (count < limit || (best is { } found && found.TimeNanoseconds > oldest))
            {
                return best;
            }
        }
    }

    private IEnumerable<(SeriesKey Key, Sample Sample)> SamplesOf(NpgsqlDataReader row)
    {
        var origin = new OriginId(NodeId.Parse(row.GetString(0)), PostgresNumber.Unsigned(row.GetInt64(1)));
        var key = new ReportKey(origin, PostgresNumber.Unsigned(row.GetInt64(2)));
        long time = row.GetInt64(3);
        var values = new List<(SeriesKey Series, long Units)>();
        ReportSeries.Collect(decode(new RawReport(key, row.GetFieldValue<byte[]>(4))).Body, values);
        return values.Select(value => (value.Series, new Sample(time, key, value.Units)));
    }

    private async Task SaveAsync(NpgsqlConnection connection, CancellationToken cancellation)
    {
        await _blocks.SaveAsync(connection, _held, cancellation).ConfigureAwait(false);
        await names.LearnAsync(connection, _held.Where(line => line.Last is not null).Select(line => line.Last!.Value.Key.Origin), cancellation).ConfigureAwait(false);
        await using var save = new NpgsqlCommand(
            """
            UPDATE series s SET version = s.version + 1, last_time = u.time, last_origin = u.origin, last_sequence = u.sequence, last_units = u.units
            FROM unnest($1::int[], $2::bigint[], $3::int[], $4::bigint[], $5::bigint[]) AS u(id, time, origin, sequence, units) WHERE s.id = u.id
            """,
            connection)
        {
            Parameters =
            {
                new() { Value = _held.Select(line => line.Number).ToArray() },
                new() { Value = _held.Select(line => line.Last?.TimeNanoseconds).ToArray() },
                new() { Value = _held.Select(line => line.Last is { } last ? names.Of(last.Key.Origin) : (int?)null).ToArray() },
                new() { Value = _held.Select(line => line.Last is { } last ? PostgresNumber.Signed(last.Key.Sequence) : (long?)null).ToArray() },
                new() { Value = _held.Select(line => line.Last?.Units).ToArray() },
            },
        };
        await save.ExecuteNonQueryAsync(cancellation).ConfigureAwait(false);
    }

    private static void Touch(WrongMinutes wrong, RollUpLine line, Sample? sample)
    {
        if (sample is { } known)
        {
            wrong.Touch(line, known.TimeNanoseconds);
        }
    }

    private static IEnumerable<(int Series, RollUpSpan Span, long Block)> BlocksAt(int series, long time) =>
        Enum.GetValues<RollUpSpan>().Select(span => (series, span, BucketPlace.Of(span, BucketPlace.NumberOf(span, time)).Block));

    private const string ReadingsOf =
        "SELECT o.node, o.epoch, r.sequence, r.time, r.bytes FROM report r JOIN origin o ON o.id = r.origin WHERE r.item = ANY($1) AND r.kind = ANY($2)";

    private static int[] RolledKinds { get; } = [.. Enum.GetValues<ReportKind>().Where(kind => (Segments.SegmentInfo.BitOf(kind) & ReportSeries.Kinds) != 0).Select(kind => (int)kind)];
}
