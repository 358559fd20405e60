using KitMesh.Domain.Kit;
using KitMesh.Models.Sun;
using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>When it last became night at a place.</summary>
internal static class LastNightfall
{
    private static readonly LocalTime WithoutSunset = new(18, 0);

    /// <summary>The latest sunset that is over; without a place, or where the sun does not set, the latest six in the evening.</summary>
    /// <param name="now">World time.</param>
    /// <param name="place">The place; null when nobody said.</param>
    /// <param name="zone">The crew's civil time.</param>
    public static Instant Before(Instant now, Place? place, Offset zone)
    {
        LocalDate today = now.InUtc().Date;
        for (int day = 1; place is not null && day >= -1; day--)
        {
            if (SunEvents.Around(today.PlusDays(day), place.Latitude, place.Longitude).Sunset is { } set && set <= now)
            {
                return set;
            }
        }

        OffsetDateTime here = now.WithOffset(zone);
        LocalDate evening = here.TimeOfDay >= WithoutSunset ? here.Date : here.Date.PlusDays(-1);
        return (evening + WithoutSunset).WithOffset(zone).ToInstant();
    }
}
