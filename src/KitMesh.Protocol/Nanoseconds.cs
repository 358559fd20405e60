using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Protocol;

/// <summary>Instants and durations as 64-bit nanoseconds, as the wire has them. What does not fit is held at the end.</summary>
public static class Nanoseconds
{
    private static readonly Duration Longest = Duration.FromNanoseconds(long.MaxValue);
    private static readonly Duration Shortest = Duration.FromNanoseconds(long.MinValue);

    /// <summary>Nanoseconds since the Unix epoch.</summary>
    /// <param name="instant">The instant.</param>
    public static long Of(Instant instant) => UnixNanoseconds.Of(instant);

    /// <summary>The length in nanoseconds.</summary>
    /// <param name="duration">The duration.</param>
    public static long Of(Duration duration) =>
        duration >= Longest ? long.MaxValue : duration <= Shortest ? long.MinValue : duration.ToInt64Nanoseconds();

    /// <summary>The instant so many nanoseconds after the Unix epoch.</summary>
    /// <param name="nanoseconds">May be negative.</param>
    public static Instant ToInstant(long nanoseconds) => UnixNanoseconds.ToInstant(nanoseconds);
}
