using KitMesh.Disk;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Journal;

/// <summary>What staging a batch came to; nothing of it is durable before the commit.</summary>
/// <param name="Written">New reports staged.</param>
/// <param name="Duplicates">Reports that were here already.</param>
/// <param name="Forks">Keys staged beside another report.</param>
/// <param name="ForksLeftOut">Forks past the bound, which are not kept.</param>
/// <param name="Refusal">Why the batch was not touched; null when it was staged.</param>
/// <param name="Fault">Why the journal cannot be written now; null when it can.</param>
public readonly record struct StageOutcome(
    int Written,
    int Duplicates,
    IReadOnlyList<ReportKey> Forks,
    int ForksLeftOut,
    string? Refusal = null,
    DiskFault? Fault = null)
{
    internal static StageOutcome Refused(string reason) => new(0, 0, [], 0, Refusal: reason);

    internal static StageOutcome Failed(DiskFault fault) => new(0, 0, [], 0, Fault: fault);
}
