using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>One visit of a card to a station, from its insertion to the last proof.</summary>
/// <param name="Station">The station's node.</param>
/// <param name="Card">The card.</param>
/// <param name="Begin">When it was put in.</param>
/// <param name="End">When the last copy of it was proven.</param>
/// <param name="Clips">Clips proven.</param>
/// <param name="Copies">Copies proven.</param>
/// <param name="Size">Bytes of the proven copies.</param>
/// <param name="Energy">What the station's own load took meanwhile, as metered; null when nothing meters it.</param>
public sealed record OffloadRun(NodeId Station, KitId Card, Instant Begin, Instant End, int Clips, int Copies, ByteCount Size, WattHours? Energy)
{
    /// <summary>How long it took.</summary>
    public Duration Took => End - Begin;
}
