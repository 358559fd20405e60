using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Kit;

/// <summary>What the trip file plans for one team and day.</summary>
/// <param name="Team">The team.</param>
/// <param name="Day">The civil day.</param>
/// <param name="DayKind">What the team does.</param>
/// <param name="Where">Where it sleeps; null for the team's home.</param>
/// <param name="PanelHours">Hours that somebody is there to keep panels out; null for all of daylight.</param>
public sealed record CalendarDay(KitId Team, LocalDate Day, DayKind DayKind, KitId? Where, double? PanelHours)
    : KitItem(KitId.Parse($"{Team} {Day:uuuu'-'MM'-'dd}"))
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.CalendarDay;
}
