using NodaTime;

namespace KitMesh.Storage.Days;

/// <summary>One of the crew's civil days as whole hours of UTC: an hour belongs to the day in which its middle lies.</summary>
/// <param name="Day">The civil day.</param>
/// <param name="From">Begin of its first hour.</param>
/// <param name="Until">End of its last hour.</param>
public readonly record struct CrewDay(LocalDate Day, Instant From, Instant Until)
{
    private const long Hour = NodaConstants.SecondsPerHour;

    /// <summary>The hours of a civil day.</summary>
    /// <param name="day">The day.</param>
    /// <param name="zone">The crew's offset from UTC.</param>
    public static CrewDay Of(LocalDate day, Offset zone) => new(day, FirstHour(day, zone), FirstHour(day.PlusDays(1), zone));

    /// <summary>The civil day that holds a moment.</summary>
    /// <param name="moment">The moment.</param>
    /// <param name="zone">The crew's offset from UTC.</param>
    public static CrewDay Holding(Instant moment, Offset zone) =>
        Of((FloorHour(moment) + Duration.FromMinutes(30)).WithOffset(zone).Date, zone);

    private static Instant FirstHour(LocalDate day, Offset zone) =>
        FloorHour(day.AtMidnight().WithOffset(zone).ToInstant() + Duration.FromSeconds((Hour / 2) - 1));

    private static Instant FloorHour(Instant moment)
    {
        long seconds = moment.ToUnixTimeSeconds();
        long into = ((seconds % Hour) + Hour) % Hour;
        return Instant.FromUnixTimeSeconds(seconds - into);
    }
}
