using NodaTime;
using NodaTime.Text;

namespace KitMesh.Domain.Time;

/// <summary>Moments as the crew's own clocks show them: what people read in alerts, advice and pages.</summary>
public static class CrewTime
{
    private static readonly LocalDateTimePattern MomentPattern = LocalDateTimePattern.CreateWithInvariantCulture("d MMM HH':'mm");
    private static readonly LocalDateTimePattern OldPattern = LocalDateTimePattern.CreateWithInvariantCulture("d MMM uuuu HH':'mm");
    private static readonly OffsetPattern ZonePattern = OffsetPattern.CreateWithInvariantCulture("+HH:mm");

    /// <summary>A moment, such as "11 Feb 21:00". A time that no living clock says carries its year.</summary>
    /// <param name="moment">The moment.</param>
    /// <param name="zone">The crew's civil time.</param>
    public static string Show(Instant moment, Offset zone)
    {
        // Clocks that died say 1970 or 2099; the year is then the news.
        bool isPlausible = Retiming.IsPlausible(moment);
        Instant held = isPlausible ? moment : Instant.Max(Instant.MinValue + Duration.FromDays(2), Instant.Min(moment, Instant.MaxValue - Duration.FromDays(2)));
        return (isPlausible ? MomentPattern : OldPattern).Format(held.WithOffset(zone).LocalDateTime);
    }

    /// <summary>The same with the zone, such as "11 Feb 21:00 (+06:00)": for words that travel alone.</summary>
    /// <param name="moment">The moment.</param>
    /// <param name="zone">The crew's civil time.</param>
    public static string ShowWithZone(Instant moment, Offset zone) => $"{Show(moment, zone)} ({ShowZone(zone)})";

    /// <summary>The zone, such as "+06:00"; "UTC" when the crew lives by it or nobody said.</summary>
    /// <param name="zone">The crew's civil time.</param>
    public static string ShowZone(Offset zone) => zone == Offset.Zero ? "UTC" : ZonePattern.Format(zone);
}
