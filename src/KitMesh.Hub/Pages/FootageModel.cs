using KitMesh.Domain.Results;

namespace KitMesh.Hub.Pages;

/// <summary>What the page "Footage" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Ledger">Cards, drives, days, and the clips that are short of copies.</param>
/// <param name="Footage">The footage outlook; null when it could not be computed.</param>
public sealed record FootageModel(PageHead Head, LedgerView Ledger, FootageOutlook? Footage);
