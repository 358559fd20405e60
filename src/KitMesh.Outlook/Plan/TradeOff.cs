using KitMesh.Domain;
using KitMesh.Domain.Quantities;

namespace KitMesh.Outlook.Plan;

/// <summary>One point of the trade-off.</summary>
/// <param name="Mass">The weight.</param>
/// <param name="Chance">The chance.</param>
/// <param name="Counts">The items.</param>
public sealed record TradeOff(Kilograms Mass, Probability Chance, ValueList<ItemCount> Counts);
