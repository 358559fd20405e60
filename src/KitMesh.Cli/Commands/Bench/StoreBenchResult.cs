namespace KitMesh.Cli.Commands.Bench;

/// <summary>What one store did with the readings.</summary>
/// <param name="Store">Its name.</param>
/// <param name="ReportsPerSecond">Reports a second, all writes together; making and decoding them is not counted.</param>
/// <param name="SlowestWriteMs">The longest write.</param>
/// <param name="ProcessorSeconds">Processor time of this process during the writes.</param>
/// <param name="MemoryBytes">Working set of this process after the last write.</param>
/// <param name="QuestionsMs">Median time of each question.</param>
internal sealed record StoreBenchResult(
    string Store,
    double ReportsPerSecond,
    double SlowestWriteMs,
    double ProcessorSeconds,
    long MemoryBytes,
    IReadOnlyDictionary<string, double> QuestionsMs)
{
    /// <summary>Reports a second of the barest insert.</summary>
    public double RawPerSecond { get; init; }

    /// <summary>Bytes on disk, indexes included.</summary>
    public long DiskBytes { get; init; }
}
