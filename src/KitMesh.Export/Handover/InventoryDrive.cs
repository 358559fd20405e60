using KitMesh.Domain.Reports;

namespace KitMesh.Export.Handover;

/// <summary>One drive in an inventory.</summary>
/// <param name="Drive">Its label.</param>
/// <param name="Case">The case it is in; null for none.</param>
/// <param name="Carrier">Who has it; null when nobody said.</param>
/// <param name="GoodCopies">Good copies on it.</param>
/// <param name="Doubt">Why it cannot be told which drive it is; null when it can.</param>
public sealed record InventoryDrive(KitId Drive, KitId? Case, KitId? Carrier, int GoodCopies, string? Doubt);
