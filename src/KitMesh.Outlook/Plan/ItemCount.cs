using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>How many of one item.</summary>
/// <param name="Item">The item.</param>
/// <param name="Count">How many.</param>
public sealed record ItemCount(KitId Item, int Count);
