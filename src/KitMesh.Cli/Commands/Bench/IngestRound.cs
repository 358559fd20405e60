namespace KitMesh.Cli.Commands.Bench;

/// <summary>One round of the ingest measurement. Rates are reports a second, costs are seconds of processor time.</summary>
/// <param name="Durable">Through the stream until durable.</param>
/// <param name="Stored">Through the stream until also merged, rolled up and stored.</param>
/// <param name="RawAppendSync">Appending and syncing the same bytes, batch by batch.</param>
/// <param name="RawLiteDb">Inserting the same batches into the database as bare segments; nothing is synced there.</param>
/// <param name="AckP50Ms">Median time to the acknowledgement of a batch.</param>
/// <param name="AckP99Ms">One in a hundred is slower.</param>
/// <param name="HubCpuUntilDurable">What the hub's process spent until everything was durable.</param>
/// <param name="HubCpuUntilStored">What it spent until everything was stored.</param>
/// <param name="SenderCpu">What the sending process spent.</param>
/// <param name="WireBytes">Bytes that the senders put on the wire.</param>
/// <param name="HubMemoryBytes">Working set of the hub's process once everything was stored.</param>
/// <param name="Commits">Commits of the hub's journal while sending.</param>
/// <param name="JournalBytes">Bytes of the journal once every segment is sealed.</param>
/// <param name="StoreBytes">Bytes of the store once closed.</param>
internal sealed record IngestRound(
    double Durable,
    double Stored,
    double RawAppendSync,
    double RawLiteDb,
    double AckP50Ms,
    double AckP99Ms,
    double HubCpuUntilDurable,
    double HubCpuUntilStored,
    double SenderCpu,
    long WireBytes,
    long HubMemoryBytes,
    long Commits,
    long JournalBytes,
    long StoreBytes)
{
    /// <summary>Copying the same batches into a database's table without an index; null for the embedded store.</summary>
    public double? RawCopy { get; init; }
}
