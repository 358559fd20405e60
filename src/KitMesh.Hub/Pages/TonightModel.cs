using KitMesh.Domain;
using KitMesh.Domain.Results;
using KitMesh.Hub.Digests;

namespace KitMesh.Hub.Pages;

/// <summary>What the page "Tonight" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Advice">What to do next.</param>
/// <param name="Alerts">What stands.</param>
/// <param name="Energy">The energy outlook; null when it could not be computed.</param>
/// <param name="Charging">Tonight's charging; null when it could not be computed.</param>
/// <param name="Footage">The footage outlook; null when it could not be computed.</param>
/// <param name="Ledger">Cards, drives and days.</param>
/// <param name="News">When each node was heard.</param>
/// <param name="Heard">Digest lines, the newest of each team.</param>
/// <param name="Missing">What kept a part from being computed.</param>
public sealed record TonightModel(
    PageHead Head,
    AdviceList Advice,
    IReadOnlyList<Alert> Alerts,
    EnergyOutlook? Energy,
    ChargingPlan? Charging,
    FootageOutlook? Footage,
    LedgerView Ledger,
    IReadOnlyList<NewsRow> News,
    IReadOnlyList<HeardNews> Heard,
    ValueList<string> Missing);
