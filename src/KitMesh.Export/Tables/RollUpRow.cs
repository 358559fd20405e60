using KitMesh.Storage.RollUps;

namespace KitMesh.Export.Tables;

/// <summary>What one series did in one hour.</summary>
internal readonly record struct RollUpRow(long Start, SeriesKey Series, RollUp Hour);
