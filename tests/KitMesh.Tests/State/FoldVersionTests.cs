using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;

namespace KitMesh.Tests.State;

/// <summary>Two builds that fold the same reports to different states must not call themselves one version.</summary>
public sealed class FoldVersionTests
{
    // Each version with the kinds that it knew. Add a row; never change one.
    private static readonly Dictionary<uint, (ReportKind LastReport, KitKind LastKit)> Known = new()
    {
        [2] = (ReportKind.DigestHeard, KitKind.SharedDanger),
        [3] = (ReportKind.DigestHeard, KitKind.PanelHabit),
        [4] = (ReportKind.DigestHeard, KitKind.PanelHabit),
        [5] = (ReportKind.TakenDirectly, KitKind.PanelHabit),
        [6] = (ReportKind.DayRolledUp, KitKind.PanelHabit),
    };

    [Fact]
    public void FoldVersion_GrowsWithEveryNewKind()
    {
        (ReportKind, KitKind) newest = (Enum.GetValues<ReportKind>().Max(), Enum.GetValues<KitKind>().Max());

        Assert.True(Known.TryGetValue(TripState.FoldVersion, out (ReportKind, KitKind) known), "Add a row for this fold version.");
        Assert.True(newest == known, $"Kinds up to {newest} are folded, and version {TripState.FoldVersion} knew them up to {known}: raise TripState.FoldVersion and add a row.");
    }
}
