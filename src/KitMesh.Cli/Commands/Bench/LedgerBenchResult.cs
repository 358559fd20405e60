namespace KitMesh.Cli.Commands.Bench;

/// <summary>One measured ledger.</summary>
/// <param name="Clips">Clips.</param>
/// <param name="Copies">Copies.</param>
/// <param name="Reports">Reports that made it.</param>
/// <param name="MakingSeconds">Making the reports alone; part of filing.</param>
/// <param name="FilingSeconds">Making and filing them.</param>
/// <param name="JudgingSeconds">Judging every clip and card.</param>
/// <param name="RebuildSeconds">Both.</param>
/// <param name="RebuildCpuSeconds">Processor time of both: what they take on a machine that does nothing else.</param>
/// <param name="QueryMedianMs">The middle one of all queries by clip, card, day, drive, case and for all.</param>
/// <param name="QuerySlowestMs">The slowest of them.</param>
/// <param name="RiskSeconds">The risk of all clips, three times over for its range.</param>
/// <param name="AnyLost">What the risk came to.</param>
/// <param name="LedgerMebibytes">Managed memory that the ledger and its snapshot hold.</param>
/// <param name="PeakMebibytes">The most memory that the process ever used, with the runs before this one.</param>
internal sealed record LedgerBenchResult(
    int Clips,
    long Copies,
    long Reports,
    double MakingSeconds,
    double FilingSeconds,
    double JudgingSeconds,
    double RebuildSeconds,
    double RebuildCpuSeconds,
    double QueryMedianMs,
    double QuerySlowestMs,
    double RiskSeconds,
    double AnyLost,
    double LedgerMebibytes,
    double PeakMebibytes);
