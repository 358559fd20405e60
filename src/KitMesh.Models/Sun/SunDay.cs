using NodaTime;

namespace KitMesh.Models.Sun;

/// <summary>Rise, highest stand and set around one local noon. Rise may lie on the UTC day before, set on the day after.</summary>
/// <param name="State">Whether it rises and sets at all.</param>
/// <param name="Sunrise">Rise; null when it does not cross the horizon before noon.</param>
/// <param name="Transit">Highest stand.</param>
/// <param name="Sunset">Set; null when it does not cross the horizon after noon.</param>
public readonly record struct SunDay(SunDayState State, Instant? Sunrise, Instant Transit, Instant? Sunset)
{
    /// <summary>How long it is up between the two midnights around <see cref="Transit"/>.</summary>
    public Duration DayLength => State switch
    {
        SunDayState.PolarDay => Duration.FromHours(24),
        SunDayState.PolarNight => Duration.Zero,
        _ => (Sunset ?? Transit + Duration.FromHours(12)) - (Sunrise ?? Transit - Duration.FromHours(12)),
    };
}
