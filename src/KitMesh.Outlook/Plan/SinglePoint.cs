using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>Something there is only one of.</summary>
/// <param name="Item">What it is.</param>
/// <param name="Words">What stops when it fails.</param>
public sealed record SinglePoint(KitId Item, string Words);
