using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>What one source shot on one day, every clip once.</summary>
/// <param name="Day">The civil day: of the recording where the file tells it, else of the reading.</param>
/// <param name="Source">The camera or recorder; null where nobody knows.</param>
/// <param name="Clips">Clips.</param>
/// <param name="Size">Their bytes.</param>
/// <param name="Length">Their running time, as far as files tell.</param>
public sealed record FootageSum(LocalDate Day, KitId? Source, int Clips, ByteCount Size, Duration Length);
