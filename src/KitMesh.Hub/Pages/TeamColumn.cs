using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Pages;

/// <summary>One team at a glance.</summary>
/// <param name="Team">The team.</param>
/// <param name="Where">Where it is, in words.</param>
/// <param name="News">How old its newest own report is, in words.</param>
/// <param name="IsOld">Whether that is older than the trip file lets it be.</param>
/// <param name="Banks">Charge and chance of running short of each bank.</param>
/// <param name="Cards">How its cards stand.</param>
/// <param name="Days">How many of its days meet the copy rule.</param>
/// <param name="Alerts">Its standing alerts, heaviest first.</param>
/// <param name="Heard">What came by digest line and how old it is; empty without one.</param>
public sealed record TeamColumn(KitId Team, string Where, string News, bool IsOld, IReadOnlyList<string> Banks, string Cards, string Days, IReadOnlyList<string> Alerts, string Heard);
