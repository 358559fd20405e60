using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Planning;

/// <summary>Something that weighs, fits or flies and that no reading ever names: used by plans only and never reported.</summary>
/// <param name="Name">Its name; may stand twice.</param>
/// <param name="Kind">What it is.</param>
/// <param name="Count">How many.</param>
/// <param name="Mass">What one weighs; null when not told.</param>
/// <param name="Carrier">The person or team who carries it; null when not told.</param>
/// <param name="Sled">The sled, boat or bag that it rides in; null when not told.</param>
/// <param name="Fits">What chargers, cables and readers fit: a plug, a battery or a card type.</param>
/// <param name="Energy">Energy of one battery; null for gear without.</param>
public sealed record Gear(KitId Name, GearKind Kind, int Count, Kilograms? Mass, KitId? Carrier, KitId? Sled, KitId? Fits, WattHours? Energy);
