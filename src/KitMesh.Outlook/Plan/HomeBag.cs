using KitMesh.Domain;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>The drives that one person carries home.</summary>
/// <param name="Carrier">The person; null when fewer people are declared than bags.</param>
/// <param name="Copy">Which copy of the footage these drives hold, from 1.</param>
/// <param name="Drives">The drives.</param>
/// <param name="Gigabytes">Their room.</param>
/// <param name="HoldsAll">Whether the whole trip's footage has room on the drives of this copy.</param>
public sealed record HomeBag(KitId? Carrier, int Copy, ValueList<KitId> Drives, double Gigabytes, bool HoldsAll);
