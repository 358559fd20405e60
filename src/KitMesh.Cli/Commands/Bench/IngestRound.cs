namespace KitMesh.Cli.Commands.Bench;

/// <summary>One round of the ingest measurement. Rates are reports a second.</summary>
/// <param name="Durable">Through the stream until durable.</param>
/// <param name="Stored">Through the stream until also merged, rolled up and stored.</param>
/// <param name="RawAppendSync">Appending and syncing the same bytes, batch by batch.</param>
/// <param name="RawLiteDb">Inserting the same batches into the database as bare segments.</param>
/// <param name="AckP50Ms">Median time to the acknowledgement of a batch.</param>
/// <param name="AckP99Ms">One in a hundred is slower.</param>
/// <param name="JournalBytes">Bytes of the journal once every segment is sealed.</param>
/// <param name="StoreBytes">Bytes of the store once closed.</param>
internal sealed record IngestRound(
    double Durable,
    double Stored,
    double RawAppendSync,
    double RawLiteDb,
    double AckP50Ms,
    double AckP99Ms,
    long JournalBytes,
    long StoreBytes);
