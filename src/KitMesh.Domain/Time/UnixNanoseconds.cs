using NodaTime;

namespace KitMesh.Domain.Time;

/// <summary>Instants as 64-bit Unix nanoseconds. What does not fit (before 1677, after 2262) is held at the end.</summary>
public static class UnixNanoseconds
{
    private static readonly Instant Last = NodaConstants.UnixEpoch + Duration.FromNanoseconds(long.MaxValue);
    private static readonly Instant First = NodaConstants.UnixEpoch + Duration.FromNanoseconds(long.MinValue);

    /// <summary>Nanoseconds since the Unix epoch.</summary>
    /// <param name="instant">The instant.</param>
    public static long Of(Instant instant) =>
        instant >= Last ? long.MaxValue : instant <= First ? long.MinValue : (instant - NodaConstants.UnixEpoch).ToInt64Nanoseconds();

    /// <summary>The instant so many nanoseconds after the Unix epoch.</summary>
    /// <param name="nanoseconds">May be negative.</param>
    public static Instant ToInstant(long nanoseconds) => NodaConstants.UnixEpoch + Duration.FromNanoseconds(nanoseconds);
}
