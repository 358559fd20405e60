using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>One source of clips at one moment.</summary>
/// <param name="Source">Its name; null for clips whose source nobody told.</param>
/// <param name="Team">Its team, where declared.</param>
/// <param name="Rule">The rule its clips are under.</param>
internal sealed record SourceView(KitId? Source, KitId? Team, RuleInForce Rule);
