using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>Says that what a page shows of the outlook is not of now, since a newer one is being worked out.</summary>
/// <param name="At">The world time it is for; null when none can be shown yet.</param>
/// <param name="Number">Which outlook it is: a higher number is a newer one.</param>
public sealed record OlderOutlook(Instant? At, long Number);
