using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Kit;

/// <summary>The trip itself.</summary>
/// <param name="Id">Its name.</param>
/// <param name="FirstDay">First civil day.</param>
/// <param name="LastDay">Last civil day, on which the energy must still last.</param>
/// <param name="ZoneOffset">Offset of the crew's civil time from UTC; off grid nobody changes clocks half-way.</param>
/// <param name="HandoverDay">The day the footage is handed over; null for the last day.</param>
public sealed record Trip(KitId Id, LocalDate FirstDay, LocalDate LastDay, Offset ZoneOffset, LocalDate? HandoverDay = null) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Trip;
}
