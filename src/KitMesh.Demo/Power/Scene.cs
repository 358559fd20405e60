using KitMesh.Demo.Weather;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Demo.Power;

/// <summary>Who is where and when, and under which sky.</summary>
public sealed class Scene
{
    private readonly Dictionary<KitId, Place> _places;
    private readonly Dictionary<KitId, Team> _teams;
    private readonly Dictionary<(KitId Team, LocalDate Day), CalendarDay> _days;

    internal Scene(IReadOnlyCollection<KitItem> kit, ulong seed)
    {
        Trip = kit.OfType<Trip>().Single();
        _places = kit.OfType<Place>().ToDictionary(place => place.Id);
        _teams = kit.OfType<Team>().ToDictionary(team => team.Id);
        _days = kit.OfType<CalendarDay>().ToDictionary(day => (day.Team, day.Day));
        Start = At(Trip.FirstDay, 0);
        Weather = new WeatherTruth(seed, Start, Duration.FromDays(Period.DaysBetween(Trip.FirstDay, Trip.LastDay) + 2));
    }

    /// <summary>The trip.</summary>
    public Trip Trip { get; }

    /// <summary>Midnight before the first day.</summary>
    public Instant Start { get; }

    /// <summary>The weather.</summary>
    public WeatherTruth Weather { get; }

    /// <summary>Civil time of a moment.</summary>
    /// <param name="time">The moment.</param>
    public LocalDateTime Civil(Instant time) => time.WithOffset(Trip.ZoneOffset).LocalDateTime;

    /// <summary>The moment of a civil hour.</summary>
    /// <param name="day">The day.</param>
    /// <param name="hour">The hour, with its fraction.</param>
    public Instant At(LocalDate day, double hour) => day.AtMidnight().WithOffset(Trip.ZoneOffset).ToInstant() + Duration.FromHours(hour);

    internal CalendarDay? DayOf(KitId team, LocalDate day) => _days.GetValueOrDefault((team, day));

    internal Place PlaceOf(KitId team, Instant time) => _places[DayOf(team, Civil(time).Date)?.Where ?? _teams[team].Home];
}
