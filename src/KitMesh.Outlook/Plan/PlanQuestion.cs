using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Learning;

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
    int Paths = EnergyQuestion.DefaultPaths)
{
    /// <summary>How well learnt figures in the kit are known; empty without.</summary>
    public ValueList<KitDoubt> Doubts { get; init; } = [];

    /// <summary>What was learnt and put into the kit, to be shown.</summary>
    public ValueList<LearntUse> Learnt { get; init; } = [];

    /// <summary>Failures that earlier trips counted; empty without.</summary>
    public ValueList<LearntFailure> Failures { get; init; } = [];

    /// <summary>The same question with what trips taught in place of what the file declares.</summary>
    /// <param name="learnt">What trips taught.</param>
    public PlanQuestion With(LearntKit learnt)
    {
        LearntStart start = LearntStart.Of(Kit, learnt);
        return this with
        {
            Kit = start.Kit, Doubts = start.Doubts, Learnt = start.Uses,
            Failures = learnt.Posteriors.Where(one => one.Figure == LearntFigure.Failures).Select(one => new LearntFailure(one.Item, one.Value, one.Evidence)).ToValueList(),
        };
    }
}
