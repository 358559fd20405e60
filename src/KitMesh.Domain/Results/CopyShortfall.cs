using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>A day from which the copies that the rule asks for can no longer all be made.</summary>
/// <param name="Copies">Which copy of each clip: 2 means that a second one finds no room.</param>
/// <param name="Early">The day with chance 0.1; null when not before the last day.</param>
/// <param name="Likely">The day with chance 0.5; null when not before the last day.</param>
/// <param name="ByLastDay">The chance that it comes to this before the last day ends.</param>
/// <param name="GigabytesShort">Room that is missing on average at the end of the last day, for this copy.</param>
public sealed record CopyShortfall(int Copies, LocalDate? Early, LocalDate? Likely, Probability ByLastDay, double GigabytesShort);
