using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>The chance that something shot on one day is lost.</summary>
/// <param name="Day">The civil day.</param>
/// <param name="Team">The team; null where the source is not declared.</param>
/// <param name="Clips">Clips of that day.</param>
/// <param name="AnyLost">The chance that at least one of them is lost.</param>
/// <param name="ExpectedHoursLost">Running time lost on average.</param>
public sealed record DayRisk(LocalDate Day, KitId? Team, int Clips, ChanceRange AnyLost, double ExpectedHoursLost);
