namespace KitMesh.Cli.Commands.Bench;

/// <summary>What a soak saw at one moment.</summary>
/// <param name="Minute">Minutes since the load began.</param>
/// <param name="Reports">Reports that the hub had made durable by then.</param>
/// <param name="WorkingSetBytes">Memory of the hub's process as the system counts it.</param>
/// <param name="LiveBytes">What is reachable of the managed heap, after a full collection.</param>
/// <param name="JournalBytes">Bytes of the journal on disk.</param>
internal sealed record SoakSample(double Minute, ulong Reports, long WorkingSetBytes, long LiveBytes, long JournalBytes);
