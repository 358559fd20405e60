using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Planning;

/// <summary>How many of one declared pack, panel or drive could be taken instead of one.</summary>
/// <param name="Kind">Pack, panel or drive.</param>
/// <param name="Item">The declared item.</param>
/// <param name="Least">The fewest that come into question.</param>
/// <param name="Most">The most.</param>
/// <param name="Mass">What one weighs.</param>
public sealed record KitChoice(KitKind Kind, KitId Item, int Least, int Most, Kilograms Mass);
