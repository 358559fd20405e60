using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>What the copy rule of one source asks for.</summary>
/// <param name="Source">The camera or recorder.</param>
/// <param name="Rule">The rule; null when none is declared.</param>
/// <param name="Copies">Proven copies.</param>
/// <param name="Cases">Different cases.</param>
public sealed record SourceDemand(KitId Source, KitId? Rule, int Copies, int Cases);
