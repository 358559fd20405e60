namespace KitMesh.Cli.Commands.Offloading;

/// <summary>One measured way.</summary>
/// <param name="Set">Which files on which drives.</param>
/// <param name="Way">What did the work.</param>
/// <param name="Bytes">Bytes of the source.</param>
/// <param name="Seconds">Median of the rounds.</param>
/// <param name="CpuSeconds">Processor time of this process, median; 0 where other programs did the work.</param>
/// <param name="Rounds">Rounds measured; the one that warms up is not among them.</param>
/// <param name="PeakBytes">Most memory that this process held in any of the rounds (resident); 0 where the system does not tell.</param>
internal sealed record BenchResult(string Set, string Way, long Bytes, double Seconds, double CpuSeconds, int Rounds, long PeakBytes = 0);
