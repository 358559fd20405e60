using KitMesh.Storage.RollUps;
using Npgsql;
using ZstdSharp;

namespace KitMesh.Storage.Postgres;

/// <summary>Blocks of roll-ups, the busy ones in memory for as long as no other hub wrote to their series.</summary>
/// <remarks>
/// Trap: another hub may have changed a block since. Each write to a series raises the version in its row, and the row is locked when blocks are read
/// or written; blocks in memory count only while the version is the one that this hub wrote.
/// </remarks>
internal sealed class RollUpBlocks(long holdLimit) : IDisposable
{
    /// <summary>Blocks kept between transactions: about 3 KB each.</summary>
    private const int MaxKept = 16_384;

    private readonly Decompressor _decompressor = new();
    private readonly Dictionary<int, Dictionary<(RollUpSpan Span, long Block), BucketBlock>> _kept = [];
    private readonly Dictionary<int, long> _versions = [];
    private int _count;

    /// <summary>Forgets what does not hold any more.</summary>
    public void Meet(RollUpLine line)
    {
        if (_versions.GetValueOrDefault(line.Number, -1) != line.Version)
        {
            _kept.Remove(line.Number);
            _versions[line.Number] = line.Version;
        }
    }

    /// <summary>Reads blocks that are not in memory.</summary>
    public async Task FetchAsync(NpgsqlConnection connection, IEnumerable<(int Series, RollUpSpan Span, long Block)> wanted, CancellationToken cancellation)
    {
        (int Series, RollUpSpan Span, long Block)[] missing = [.. wanted.Where(key => !BlocksOf(key.Series).ContainsKey((key.Span, key.Block))).Distinct()];
        if (missing.Length == 0)
        {
            return;
        }

        await using var read = new NpgsqlCommand(
            """
            SELECT u.series, u.span, u.block, r.buckets FROM unnest($1::int[], $2::smallint[], $3::bigint[]) AS u(series, span, block)
            CROSS JOIN LATERAL (SELECT buckets FROM roll_up r WHERE r.series = u.series AND r.span = u.span AND r.block = u.block LIMIT 1) AS r
            """,
            connection)
        {
            Parameters =
            {
                new() { Value = missing.Select(key => key.Series).ToArray() },
                new() { Value = missing.Select(key => (short)key.Span).ToArray() },
                new() { Value = missing.Select(key => key.Block).ToArray() },
            },
        };
        await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            var span = (RollUpSpan)row.GetInt16(1);
            BlocksOf(row.GetInt32(0))[(span, row.GetInt64(2))] = BucketBlock.Decode(span, row.GetFieldValue<byte[]>(3), _decompressor);
            _count++;
        }
    }

    /// <summary>The buckets of a series. What was not fetched is taken as empty.</summary>
    public RollUpBuckets Of(int series)
    {
        Dictionary<(RollUpSpan Span, long Block), BucketBlock> blocks = BlocksOf(series);
        return new RollUpBuckets(
            (span, number) =>
            {
                if (!blocks.TryGetValue((span, number), out BucketBlock? block))
                {
                    blocks.Add((span, number), block = new BucketBlock(span));
                    _count++;
                }

                return block;
            },
            holdLimit);
    }

    /// <summary>Writes the changed blocks of series.</summary>
    public async Task SaveAsync(NpgsqlConnection connection, IEnumerable<RollUpLine> lines, CancellationToken cancellation)
    {
        var changed = lines.SelectMany(line => BlocksOf(line.Number).Where(entry => entry.Value.IsChanged).Select(entry => (line.Number, entry.Key.Span, Number2: entry.Key.Block, entry.Value))).ToArray();
        if (changed.Length == 0)
        {
            return;
        }

        await using var save = new NpgsqlCommand(
            """
            INSERT INTO roll_up (series, span, block, buckets) SELECT * FROM unnest($1::int[], $2::smallint[], $3::bigint[], $4::bytea[])
            ON CONFLICT (series, span, block) DO UPDATE SET buckets = excluded.buckets
            """,
            connection)
        {
            Parameters =
            {
                new() { Value = changed.Select(entry => entry.Number).ToArray() },
                new() { Value = changed.Select(entry => (short)entry.Span).ToArray() },
                new() { Value = changed.Select(entry => entry.Number2).ToArray() },
                new() { Value = changed.Select(entry => entry.Value.Encode()).ToArray() },
            },
        };
        await save.ExecuteNonQueryAsync(cancellation).ConfigureAwait(false);
        foreach ((int _, RollUpSpan _, long _, BucketBlock block) in changed)
        {
            block.IsChanged = false;
        }
    }

    /// <summary>The transaction is in the database: what is in memory holds.</summary>
    public void Committed(IEnumerable<RollUpLine> lines)
    {
        if (_count > MaxKept)
        {
            // The busy blocks are back with the next write; a finer choice would cost more than it saves.
            Forget();
            return;
        }

        foreach (RollUpLine line in lines)
        {
            _versions[line.Number] = line.Version + 1;
        }
    }

    /// <summary>Forgets everything: the transaction failed.</summary>
    public void Forget()
    {
        _kept.Clear();
        _versions.Clear();
        _count = 0;
    }

    /// <inheritdoc/>
    public void Dispose() => _decompressor.Dispose();

    private Dictionary<(RollUpSpan Span, long Block), BucketBlock> BlocksOf(int series)
    {
        if (!_kept.TryGetValue(series, out Dictionary<(RollUpSpan Span, long Block), BucketBlock>? blocks))
        {
            _kept.Add(series, blocks = []);
        }

        return blocks;
    }
}
