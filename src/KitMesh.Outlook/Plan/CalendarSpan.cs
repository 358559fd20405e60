using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Outlook.Plan;

/// <summary>Like days one after another.</summary>
/// <param name="Team">The team.</param>
/// <param name="From">First day.</param>
/// <param name="To">Last day.</param>
/// <param name="Kind">What the team does.</param>
/// <param name="Where">Where it sleeps.</param>
/// <param name="PanelHours">Hours that panels can be kept out; null for all of daylight.</param>
public sealed record CalendarSpan(KitId Team, LocalDate From, LocalDate To, DayKind Kind, KitId? Where, double? PanelHours);
