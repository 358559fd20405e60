using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>What a page can show at once of an answer that takes time.</summary>
/// <typeparam name="T">What it is.</typeparam>
/// <param name="Answer">The newest answer; null while there is none that can be shown.</param>
/// <param name="At">The world time it is for.</param>
/// <param name="Number">Which answer it is; what is shown is outdated when there is a higher one. 0 for none.</param>
/// <param name="IsOlder">Whether a newer one is being computed.</param>
internal sealed record Seen<T>(T? Answer, Instant At, long Number, bool IsOlder)
    where T : class;
