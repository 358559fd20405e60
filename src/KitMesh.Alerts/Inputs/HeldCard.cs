using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Alerts.Inputs;

/// <summary>A card whose clips do not meet the copy rule.</summary>
/// <param name="Card">The card.</param>
/// <param name="Since">When the clips were first seen on it.</param>
/// <param name="Due">The evening by which it should have been released.</param>
/// <param name="Missing">What the rule still wants, for a person.</param>
/// <param name="Formatted">True when the card was formatted all the same.</param>
public sealed record HeldCard(KitId Card, Instant Since, Instant Due, string Missing, bool Formatted);
