using KitMesh.Domain;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>What the page "Tonight" shows.</summary>
/// <param name="TripName">The trip.</param>
/// <param name="DayWords">Which day of how many; empty without a trip.</param>
/// <param name="AsOf">World time.</param>
/// <param name="Zone">The crew's civil time.</param>
/// <param name="Reports">Reports behind it all.</param>
/// <param name="Advice">What to do next.</param>
/// <param name="Alerts">What stands.</param>
/// <param name="Energy">The energy outlook; null when it could not be computed.</param>
/// <param name="Charging">Tonight's charging; null when it could not be computed.</param>
/// <param name="Footage">The footage outlook; null when it could not be computed.</param>
/// <param name="Ledger">Cards, drives and days.</param>
/// <param name="News">When each node was heard.</param>
/// <param name="Missing">What kept a part from being computed.</param>
public sealed record TonightModel(
    string TripName,
    string DayWords,
    Instant AsOf,
    Offset Zone,
    long Reports,
    AdviceList Advice,
    IReadOnlyList<Alert> Alerts,
    EnergyOutlook? Energy,
    ChargingPlan? Charging,
    FootageOutlook? Footage,
    LedgerView Ledger,
    IReadOnlyList<NewsRow> News,
    ValueList<string> Missing);
