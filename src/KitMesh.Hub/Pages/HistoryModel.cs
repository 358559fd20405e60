namespace KitMesh.Hub.Pages;

/// <summary>What the page "Readings over time" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Asked">What was asked for.</param>
/// <param name="Chart">The readings.</param>
public sealed record HistoryModel(PageHead Head, HistoryAsked Asked, HistoryChart Chart);
