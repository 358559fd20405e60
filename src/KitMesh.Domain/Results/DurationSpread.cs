using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>Quantiles of a span of time over all paths.</summary>
/// <param name="P10">One path in ten is shorter.</param>
/// <param name="P50">The median.</param>
/// <param name="P90">One path in ten is longer.</param>
/// <param name="AtLeast">True when the paths end before the span does, so that the true figures can only be longer.</param>
public sealed record DurationSpread(Duration P10, Duration P50, Duration P90, bool AtLeast = false);
