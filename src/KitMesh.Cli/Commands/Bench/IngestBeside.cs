namespace KitMesh.Cli.Commands.Bench;

/// <summary>Medians of the ingest measurement with a PostgreSQL database as the store.</summary>
/// <param name="DurablePerSecond">Reports a second until durable in the journal.</param>
/// <param name="StoredPerSecond">Reports a second until merged, rolled up and committed in the database.</param>
/// <param name="RawCopyPerSecond">Reports a second of a COPY of the same batches into a table without an index.</param>
/// <param name="ShareOfRawCopy">Stored as a share of that, round by round.</param>
/// <param name="AckP50Ms">Median time to the acknowledgement of a batch.</param>
/// <param name="AckP99Ms">One in a hundred is slower.</param>
/// <param name="HubCpuSecondsPerMillionDurable">Processor time of the hub until durable; the database's own is not in it.</param>
/// <param name="HubCpuSecondsPerMillionStored">The same until stored.</param>
/// <param name="HubMemoryBytes">Working set of the hub's process.</param>
/// <param name="StoreBytesPerReading">Bytes in the database, indexes included, for each sensor value.</param>
/// <param name="Rounds">The rounds.</param>
internal sealed record IngestBeside(
    double DurablePerSecond,
    double StoredPerSecond,
    double RawCopyPerSecond,
    double ShareOfRawCopy,
    double AckP50Ms,
    double AckP99Ms,
    double HubCpuSecondsPerMillionDurable,
    double HubCpuSecondsPerMillionStored,
    double HubMemoryBytes,
    double StoreBytesPerReading,
    IReadOnlyList<IngestRound> Rounds);
