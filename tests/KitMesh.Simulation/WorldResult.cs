namespace KitMesh.Simulation;

/// <summary>How a world ended.</summary>
internal sealed record WorldResult(
    ulong Trace,
    int Reports,
    IReadOnlyDictionary<FaultKind, int> Faults,
    int Sessions,
    int HealingRounds,
    long Events,
    long MostBytesWaiting,
    int Released);
