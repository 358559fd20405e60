using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

/// <summary>What one more of a choice saves.</summary>
/// <param name="Item">The item.</param>
/// <param name="Mass">What it weighs.</param>
/// <param name="Before">The chance (of running short, or of finding no room, drives that fail counted) as declared.</param>
/// <param name="After">The chance with one more.</param>
/// <param name="For">The bank or, for a drive, the footage.</param>
public sealed record SpareWorth(KitId Item, Kilograms Mass, Probability Before, Probability After, string For);
