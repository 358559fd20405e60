using KitMesh.Footage.Ledger;
using KitMesh.Footage.Risk;

namespace KitMesh.Outlook.Footage;

/// <summary>All that a footage outlook is computed from.</summary>
/// <param name="Holdings">Where all footage lies now: <see cref="LedgerSnapshot.Holdings"/>.</param>
/// <param name="Parameters">The figures behind the odds; null for the published ones.</param>
/// <param name="Costs">What moves cost; null for cautious figures.</param>
public sealed record FootageOutlookQuestion(Holdings Holdings, LossParameters? Parameters = null, MoveCosts? Costs = null);
