using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>One line of a chart of readings over time.</summary>
/// <param name="Name">What was measured, on which thing.</param>
/// <param name="Means">Mean of each hour, in the chart's unit; null where nothing is known.</param>
/// <param name="Least">The least value of the time shown.</param>
/// <param name="Mean">The mean of its hours.</param>
/// <param name="Most">The greatest value.</param>
/// <param name="Last">The newest value.</param>
/// <param name="LastAt">End of the hour that it is from, or now.</param>
public sealed record HistoryLine(string Name, IReadOnlyList<double?> Means, double Least, double Mean, double Most, double Last, Instant LastAt);
