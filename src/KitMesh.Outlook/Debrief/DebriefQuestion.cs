using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Debrief;

/// <summary>What a debrief is computed from.</summary>
/// <param name="Kit">Declared kit with exactly one trip.</param>
/// <param name="Readings">Every reading, in any order.</param>
/// <param name="From">First civil day.</param>
/// <param name="To">Last civil day.</param>
/// <param name="ForecastPaths">Paths of each morning's forecast; 0 asks for none.</param>
/// <param name="Seed">Seed of the paths.</param>
/// <param name="Team">Only this team's banks; null for all.</param>
public sealed record DebriefQuestion(
    ValueList<KitItem> Kit, ValueList<TimedReading> Readings, LocalDate From, LocalDate To, int ForecastPaths = 1_000, ulong Seed = 1, KitId? Team = null);
