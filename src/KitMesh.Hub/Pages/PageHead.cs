using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>What stands at the top of every page.</summary>
/// <param name="TripName">The trip.</param>
/// <param name="DayWords">Which day of how many; empty without a trip.</param>
/// <param name="AsOf">World time.</param>
/// <param name="Zone">The crew's civil time.</param>
/// <param name="Reports">Reports behind it all.</param>
/// <param name="Older">The outlook when it is not of now; null when it is, and on pages without one.</param>
public sealed record PageHead(string TripName, string DayWords, Instant AsOf, Offset Zone, long Reports, OlderOutlook? Older = null);
