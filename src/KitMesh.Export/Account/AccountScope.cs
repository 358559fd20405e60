using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>What an account is about.</summary>
/// <param name="From">First civil day.</param>
/// <param name="To">Last civil day.</param>
/// <param name="Team">Only this team; null for all.</param>
public sealed record AccountScope(LocalDate From, LocalDate To, KitId? Team)
{
    /// <summary>Whether a civil day is inside.</summary>
    /// <param name="day">The day.</param>
    public bool Holds(LocalDate day) => day >= From && day <= To;
}
