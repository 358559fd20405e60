namespace KitMesh.Cli.Commands.Bench;

/// <summary>What the same recurrence took in numpy.</summary>
internal sealed record NumpyTiming(double WallMs, double CpuMs, double MedianAtEnd, string Version);
