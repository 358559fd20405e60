using KitMesh.Domain.Kit;
using KitMesh.Domain.State;
using KitMesh.Hub.Views;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>Makes the top of a page.</summary>
internal static class PageHeads
{
    /// <summary>The top of every page at one moment.</summary>
    /// <param name="state">The merged state.</param>
    /// <param name="now">World time.</param>
    public static PageHead Of(TripState state, Instant now)
    {
        Trip? trip = state.KitOf<Trip>().FirstOrDefault();
        Offset zone = trip?.ZoneOffset ?? Offset.Zero;
        return new PageHead(
            trip?.Id.Value ?? "No trip declared",
            trip is null ? "" : DayWords(trip, now.WithOffset(zone).Date),
            now,
            zone,
            state.Counts.Values.Sum());
    }

    /// <summary>The same on a page that shows an outlook, which can be older than all else on it.</summary>
    public static PageHead Of<T>(TripState state, Instant now, Seen<T> outlook)
        where T : class => Of(state, now).With(outlook);

    /// <summary>The same head with what is to be said of the outlook's age.</summary>
    public static PageHead With<T>(this PageHead head, Seen<T> outlook)
        where T : class => outlook.IsOlder ? head with { Older = new OlderOutlook(outlook.Number == 0 ? null : outlook.At, outlook.Number) } : head;

    private static string DayWords(Trip trip, LocalDate today)
    {
        int days = Period.DaysBetween(trip.FirstDay, trip.LastDay) + 1;
        int day = Period.DaysBetween(trip.FirstDay, today) + 1;
        return day < 1 ? $"starts in {PageText.Count(1 - day, "day")}"
            : day > days ? $"ended {PageText.Count(day - days, "day")} ago"
            : $"day {day} of {days}";
    }
}
