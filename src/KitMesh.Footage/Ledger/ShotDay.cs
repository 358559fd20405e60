using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>What one source shot on one day.</summary>
/// <param name="Source">The camera or recorder; null where nobody told.</param>
/// <param name="Team">Its team, where declared.</param>
/// <param name="Day">The day.</param>
/// <param name="Size">Bytes.</param>
public sealed record ShotDay(KitId? Source, KitId? Team, LocalDate Day, ByteCount Size);
