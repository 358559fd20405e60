using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Pages;

/// <summary>One quantity of a chart.</summary>
/// <param name="Quantity">The quantity.</param>
/// <param name="Words">What tells it apart from other quantities of the same thing; empty for nothing.</param>
public sealed record HistoryPart(SeriesQuantity Quantity, string Words);
