using System.Text;
using KitMesh.Domain.Reports;
using KitMesh.Storage.RollUps;
using Npgsql;

namespace KitMesh.Storage.Postgres;

/// <summary>Numbers of origins, things and series in the database, as far as this hub needed them.</summary>
/// <remarks>
/// Names are added in statements of their own, in the order of their keys, before a write begins: they are only ever added, an unused one
/// harms nobody, and no write holds locks while it waits for another hub's new name.
/// </remarks>
internal sealed class PostgresNames
{
    private readonly Dictionary<OriginId, int> _origins = [];
    private readonly Dictionary<int, OriginId> _originOf = [];
    private readonly Dictionary<KitId, int> _things = [];
    private readonly Dictionary<SeriesKey, int> _series = [];
    private readonly Dictionary<int, (SeriesKey Key, int Item)> _seriesOf = [];

    /// <summary>The number of an origin that was learnt.</summary>
    public int Of(OriginId origin) => _origins[origin];

    /// <summary>The number of a thing that was learnt.</summary>
    public int Of(KitId thing) => _things[thing];

    /// <summary>The number of a series that was learnt.</summary>
    public int Of(SeriesKey series) => _series[series];

    /// <summary>The series of a number that was learnt, and the number of its thing.</summary>
    public (SeriesKey Key, int Item) SeriesOf(int number) => _seriesOf[number];

    /// <summary>The origin of a number.</summary>
    public async Task<OriginId> OriginAsync(NpgsqlConnection connection, int number, CancellationToken cancellation)
    {
        if (!_originOf.TryGetValue(number, out OriginId origin))
        {
            await using var read = new NpgsqlCommand("SELECT id, node, epoch FROM origin", connection);
            await using NpgsqlDataReader row = await read.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
            while (await row.ReadAsync(cancellation).ConfigureAwait(false))
            {
                Keep(row.GetInt32(0), new OriginId(NodeId.Parse(row.GetString(1)), PostgresNumber.Unsigned(row.GetInt64(2))));
            }

            origin = _originOf[number];
        }

        return origin;
    }

    /// <summary>Learns the numbers of origins.</summary>
    public async Task LearnAsync(NpgsqlConnection connection, IEnumerable<OriginId> origins, CancellationToken cancellation)
    {
        OriginId[] unknown = [.. origins.Where(origin => !_origins.ContainsKey(origin)).Distinct().Order()];
        if (unknown.Length == 0)
        {
            return;
        }

        string[] nodes = [.. unknown.Select(origin => origin.Node.Value)];
        long[] epochs = [.. unknown.Select(origin => PostgresNumber.Signed(origin.Epoch))];
        await using var learn = new NpgsqlBatch(connection)
        {
            BatchCommands =
            {
                new("INSERT INTO origin (node, epoch) SELECT * FROM unnest($1::text[], $2::bigint[]) ON CONFLICT DO NOTHING") { Parameters = { new() { Value = nodes }, new() { Value = epochs } } },
                new("SELECT id, node, epoch FROM origin WHERE (node, epoch) IN (SELECT * FROM unnest($1::text[], $2::bigint[]))") { Parameters = { new() { Value = nodes }, new() { Value = epochs } } },
            },
        };
        await using NpgsqlDataReader row = await learn.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            Keep(row.GetInt32(0), new OriginId(NodeId.Parse(row.GetString(1)), PostgresNumber.Unsigned(row.GetInt64(2))));
        }
    }

    /// <summary>Learns the numbers of things.</summary>
    public async Task LearnAsync(NpgsqlConnection connection, IEnumerable<KitId> things, CancellationToken cancellation)
    {
        string[] unknown = [.. things.Where(thing => !_things.ContainsKey(thing)).Distinct().Order().Select(thing => thing.Value)];
        if (unknown.Length == 0)
        {
            return;
        }

        await using var learn = new NpgsqlBatch(connection)
        {
            BatchCommands =
            {
                new("INSERT INTO thing (name) SELECT * FROM unnest($1::text[]) ON CONFLICT DO NOTHING") { Parameters = { new() { Value = unknown } } },
                new("SELECT id, name FROM thing WHERE name = ANY($1::text[])") { Parameters = { new() { Value = unknown } } },
            },
        };
        await using NpgsqlDataReader row = await learn.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            _things[KitId.Parse(row.GetString(1))] = row.GetInt32(0);
        }
    }

    /// <summary>Learns the numbers of series and of their things.</summary>
    public async Task LearnAsync(NpgsqlConnection connection, IEnumerable<SeriesKey> series, CancellationToken cancellation)
    {
        SeriesKey[] unknown = [.. series.Where(key => !_series.ContainsKey(key)).Distinct().Order()];
        if (unknown.Length == 0)
        {
            return;
        }

        await LearnAsync(connection, unknown.Select(key => key.Item), cancellation).ConfigureAwait(false);
        int[] items = [.. unknown.Select(key => _things[key.Item])];
        int[] quantities = [.. unknown.Select(key => (int)key.Quantity)];
        byte[][] sensors = [.. unknown.Select(key => Encoding.UTF8.GetBytes(key.Sensor))];
        var byPlace = new Dictionary<(int, int, string), SeriesKey>();
        for (int i = 0; i < unknown.Length; i++)
        {
            byPlace[(items[i], quantities[i], unknown[i].Sensor)] = unknown[i];
        }

        await using var learn = new NpgsqlBatch(connection)
        {
            BatchCommands =
            {
                new("INSERT INTO series (item, quantity, sensor) SELECT * FROM unnest($1::int[], $2::int[], $3::bytea[]) ON CONFLICT DO NOTHING") { Parameters = { new() { Value = items }, new() { Value = quantities }, new() { Value = sensors } } },
                new("SELECT id, item, quantity, sensor FROM series WHERE (item, quantity, sensor) IN (SELECT * FROM unnest($1::int[], $2::int[], $3::bytea[]))") { Parameters = { new() { Value = items }, new() { Value = quantities }, new() { Value = sensors } } },
            },
        };
        await using NpgsqlDataReader row = await learn.ExecuteReaderAsync(cancellation).ConfigureAwait(false);
        while (await row.ReadAsync(cancellation).ConfigureAwait(false))
        {
            SeriesKey key = byPlace[(row.GetInt32(1), row.GetInt32(2), Encoding.UTF8.GetString(row.GetFieldValue<byte[]>(3)))];
            _series[key] = row.GetInt32(0);
            _seriesOf[row.GetInt32(0)] = (key, row.GetInt32(1));
        }
    }

    /// <summary>Forgets everything: a transaction that failed may have taken a name with it.</summary>
    public void Forget()
    {
        _origins.Clear();
        _originOf.Clear();
        _things.Clear();
        _series.Clear();
        _seriesOf.Clear();
    }

    private void Keep(int number, OriginId origin)
    {
        _origins[origin] = number;
        _originOf[number] = origin;
    }
}
