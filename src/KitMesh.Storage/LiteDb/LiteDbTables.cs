using LiteDB;
using LiteDB.Engine;

namespace KitMesh.Storage.LiteDb;

/// <summary>The open database file. Only its owner thread may touch it.</summary>
/// <remarks>
/// Trap after trap, all measured: a commit from another thread than the one that began returns false and commits nothing, so
/// every transaction begins and ends in one call here and the answer of Commit is checked; the default collation ignores
/// case, so keys are binary; queries with literals leak, so keys go in as parameters; an open cursor breaks under writes,
/// so ranges are read to their end before anything else happens; nothing is on disk before a checkpoint, so this file is
/// only ever a view of the journal.
/// </remarks>
internal sealed class LiteDbTables : IDisposable
{
    private const string Block = "b";
    private readonly LiteEngine _engine;
    private readonly LiteDatabase _database;
    private readonly ILiteCollection<BsonDocument>[] _tables;

    private LiteDbTables(EngineSettings settings)
    {
        _engine = new LiteEngine(settings);
        _database = new LiteDatabase(_engine);
        _tables = [.. Enum.GetNames<Table>().Select(name => _database.GetCollection(name, BsonAutoId.ObjectId))];
    }

    /// <summary>Opens or makes the file.</summary>
    /// <param name="path">The file.</param>
    /// <param name="wrap">Stands between the database and its files, so that a test can let the disk fail; null for none.</param>
    public static LiteDbTables Open(string path, Func<Stream, Stream>? wrap) => wrap is null
        ? new LiteDbTables(new EngineSettings { Filename = path, Collation = Collation.Binary })
        : new LiteDbTables(new EngineSettings
        {
            DataStream = wrap(new FileStream(path, FileMode.OpenOrCreate)),
            LogStream = wrap(new FileStream(LogFile(path), FileMode.OpenOrCreate)),
            Collation = Collation.Binary,
        });

    /// <summary>The write-ahead log that the database keeps beside its file.</summary>
    public static string LogFile(string path) =>
        Path.Combine(Path.GetDirectoryName(path)!, Path.GetFileNameWithoutExtension(path) + "-log" + Path.GetExtension(path));

    /// <summary>Runs changes as one transaction.</summary>
    public T InTransaction<T>(Func<T> changes)
    {
        if (!_database.BeginTrans())
        {
            throw new InvalidOperationException("A transaction is open already on this thread.");
        }

        try
        {
            T result = changes();
            return _database.Commit() ? result : throw new InvalidDataException("The database did not commit.");
        }
        catch
        {
            // No rollback: after a failure the whole file is given up, and a rollback that fails as well hides the cause.
            BrokenEngine.Disarm(_engine);
            throw;
        }
    }

    /// <summary>The block at a key, or null.</summary>
    public byte[]? Get(Table table, byte[] key) => _tables[(int)table].FindById(key)?[Block].AsBinary;

    /// <summary>Writes a block.</summary>
    public void Put(Table table, byte[] key, byte[] block) => _tables[(int)table].Upsert(new BsonDocument { ["_id"] = key, [Block] = block });

    /// <summary>Deletes a block.</summary>
    public void Delete(Table table, byte[] key) => _tables[(int)table].Delete(key);

    /// <summary>Every block, by ascending key, read to the end.</summary>
    public List<(byte[] Key, byte[] Block)> All(Table table) =>
        [.. _tables[(int)table].FindAll().Select(document => (document["_id"].AsBinary, document[Block].AsBinary))];

    /// <summary>The blocks between two keys, both included, read to the end.</summary>
    public List<(byte[] Key, byte[] Block)> Between(Table table, byte[] first, byte[] last) =>
        [.. _tables[(int)table].Find(BsonExpression.Create("_id BETWEEN @0 AND @1", first, last)).Select(document => (document["_id"].AsBinary, document[Block].AsBinary))];

    /// <summary>Brings the log into the file.</summary>
    public void Checkpoint() => _database.Checkpoint();

    /// <summary>Lets go of a file that failed. What closing it says no longer matters.</summary>
    public void Abandon()
    {
        BrokenEngine.Disarm(_engine);
        try
        {
            _database.Dispose();
        }
#pragma warning disable CA1031 // The file is deleted next.
        catch (Exception)
#pragma warning restore CA1031
        {
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _database.Dispose();
}
