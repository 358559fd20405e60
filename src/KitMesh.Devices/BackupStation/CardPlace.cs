using KitMesh.Domain.Reports;

namespace KitMesh.Devices.BackupStation;

/// <summary>A folder where one card appears.</summary>
/// <param name="Card">The card.</param>
/// <param name="Source">The camera or recorder that writes it; null when it goes round.</param>
/// <param name="Folder">Where it is mounted, or any folder that stands for a card.</param>
/// <param name="IsFound">Nobody declared it: it is a card only where it has the folder that cameras write.</param>
internal sealed record CardPlace(KitId Card, KitId? Source, string Folder, bool IsFound = false);
