using KitMesh.Domain.Kit;
using KitMesh.Models.Sun;
using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>When panels at a place can begin to charge next.</summary>
internal static class NextSun
{
    private static readonly Duration NoSunSoon = Duration.FromDays(2);

    /// <summary>The next sunrise; the moment itself while the sun is up. A horizon line of mountains is not looked at: early is the safe side.</summary>
    /// <param name="now">World time.</param>
    /// <param name="place">The place.</param>
    public static Instant After(Instant now, Place place)
    {
        LocalDate today = now.InUtc().Date;
        for (int day = -1; day <= 1; day++)
        {
            SunDay sun = SunEvents.Around(today.PlusDays(day), place.Latitude, place.Longitude);
            if (sun.State == SunDayState.PolarDay && now < sun.Transit + Duration.FromHours(12))
            {
                return now;
            }

            if (sun is { Sunrise: { } rise, Sunset: { } set } && now < set)
            {
                return rise > now ? rise : now;
            }
        }

        return now + NoSunSoon;
    }
}
