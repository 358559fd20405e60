using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Outlook.Plan;

/// <summary>Days on which the sun does not rise where a team is.</summary>
/// <param name="Team">The team.</param>
/// <param name="Place">Where it is then.</param>
/// <param name="From">The first of them.</param>
/// <param name="To">The last of them.</param>
/// <param name="Days">How many.</param>
public sealed record SunlessSpan(KitId Team, KitId Place, LocalDate From, LocalDate To, int Days);
