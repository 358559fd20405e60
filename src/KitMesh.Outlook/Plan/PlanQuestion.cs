using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Plan;

/// <summary>What a plan is computed from.</summary>
/// <param name="Kit">Everything that the trip file declares; exactly one trip.</param>
/// <param name="Extras">What it tells for plans only.</param>
/// <param name="ShortLimit">The chance of running short, and of finding no room, that is still good enough.</param>
/// <param name="Seed">Seed of the paths.</param>
/// <param name="Paths">Paths of the outlook.</param>
public sealed record PlanQuestion(
    ValueList<KitItem> Kit,
    PlanExtras Extras,
    double ShortLimit = 0.05,
    ulong Seed = 1,
    int Paths = EnergyQuestion.DefaultPaths);
