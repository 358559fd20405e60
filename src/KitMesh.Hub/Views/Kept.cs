using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>An answer that was computed.</summary>
/// <typeparam name="T">What it is.</typeparam>
/// <param name="Answer">The answer.</param>
/// <param name="Version">Number of the merged state it comes from.</param>
/// <param name="At">The world time it is for.</param>
/// <param name="Number">How many answers there had been with this one.</param>
internal sealed record Kept<T>(T Answer, long Version, Instant At, long Number)
    where T : class;
