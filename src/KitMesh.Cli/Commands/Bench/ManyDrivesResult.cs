namespace KitMesh.Cli.Commands.Bench;

/// <summary>Risk of drives that all hang together.</summary>
/// <param name="Drives">Drives.</param>
/// <param name="IsExact">Whether the chance of losing anything was counted exactly.</param>
/// <param name="AnyLostLow">The chance with every figure at its kind end: a lower bound where it was not counted.</param>
/// <param name="AnyLost">The chance with every figure in the middle.</param>
/// <param name="RiskSeconds">The risk of all clips, three times over for its range.</param>
/// <param name="MoveSeconds">The next moves.</param>
internal sealed record ManyDrivesResult(
    int Drives,
    bool IsExact,
    double AnyLostLow,
    double AnyLost,
    double RiskSeconds,
    double MoveSeconds);
