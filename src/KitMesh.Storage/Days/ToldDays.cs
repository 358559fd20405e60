using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Storage.RollUps;
using NodaTime;

namespace KitMesh.Storage.Days;

// Problem: base camp learns a team's day in a hundred bytes a thing, days before the readings themselves fit through the link. Until they
// are here the day stands in for them; counted beside them it would count twice.
// Traps: two hubs may tell the same day; one of them may hold less of it; readings come in pieces; the crew's time may be declared anew,
// so that told days overlap.
// Method: only days that are the crew's days now are taken. Of several words about one series and day the one with the most readings
// behind it counts, then the newest. It stands in only while it has more readings behind it than are here: then the day is the hub's
// word alone, without what is here of it, and from then on it is the readings alone. A maximum and a comparison of what is held: the
// order in which things come makes no difference.

/// <summary>The days that hubs told ahead of their readings, by series.</summary>
public sealed class ToldDays
{
    private static readonly DayFigure[] None = [];
    private readonly Dictionary<SeriesKey, DayFigure[]> _days;

    private ToldDays(Dictionary<SeriesKey, DayFigure[]> days) => _days = days;

    /// <summary>Every series of which a day was told, in order.</summary>
    public IEnumerable<SeriesKey> Series => _days.Keys.Order();

    /// <summary>The days that a state knows.</summary>
    /// <param name="state">The merged state.</param>
    /// <param name="zone">The crew's offset from UTC.</param>
    public static ToldDays Of(TripState state, Offset zone)
    {
        ArgumentNullException.ThrowIfNull(state);
        var best = new Dictionary<(SeriesKey, Instant), (DayFigure Figure, FactStamp Stamp)>();
        foreach (Stamped<DayRolledUp> told in state.ToldDays.Values)
        {
            CrewDay day = CrewDay.Holding(told.Body.From, zone);
            if (day.From != told.Body.From || day.Until != told.Body.Until)
            {
                continue;
            }

            foreach (DayFigure figure in told.Body.Lines.Select(line => Read(line, told, day)).OfType<DayFigure>())
            {
                (SeriesKey, Instant) place = (figure.Series, day.From);
                if (!best.TryGetValue(place, out (DayFigure Figure, FactStamp Stamp) known) || IsBetter(figure, told.Stamp, known.Figure, known.Stamp))
                {
                    best[place] = (figure, told.Stamp);
                }
            }
        }

        return new ToldDays(best.Values.GroupBy(one => one.Figure.Series).ToDictionary(group => group.Key, group => group.Select(one => one.Figure).OrderBy(one => one.Day.From).ToArray()));
    }

    /// <summary>The told days of a series, oldest first.</summary>
    /// <param name="series">The series.</param>
    public IReadOnlyList<DayFigure> DaysOf(SeriesKey series) => _days.GetValueOrDefault(series, None);

    /// <summary>The told days of a series that stand in for readings that are not here.</summary>
    /// <param name="series">The series.</param>
    /// <param name="hours">What is here, by the hour; from the begin of the first day on that is asked about.</param>
    public IReadOnlyList<DayFigure> StandInsFor(SeriesKey series, IReadOnlyList<RollUp> hours) =>
    [
        .. DaysOf(series).Where(told => told.IsAheadOf(hours.Where(hour => hour.Start >= told.Day.From && hour.Start < told.Day.Until).Sum(hour => (long)hour.Samples))),
    ];

    private static bool IsBetter(DayFigure one, FactStamp stamp, DayFigure other, FactStamp otherStamp) =>
        one.Samples != other.Samples ? one.Samples > other.Samples : stamp.CompareTo(otherStamp) > 0;

    /// <summary>A line as a figure; null for what cannot be, which stays a report and is left out here.</summary>
    private static DayFigure? Read(DayLine line, Stamped<DayRolledUp> told, CrewDay day)
    {
        if (!Enum.IsDefined(line.Quantity) || line.Samples <= 0 || line.Known < Duration.Zero || line.Known > day.Until - day.From || line.Least > line.Greatest)
        {
            return null;
        }

        double Value(long units) => SeriesScale.Value(line.Quantity, units);
        double[] all = [Value(line.Least), Value(line.Mean), Value(line.Greatest), Value(line.Last)];
        return all.Any(value => SeriesScale.Fixed(line.Quantity, value) is null)
            ? null
            : new DayFigure(new SeriesKey(told.Body.Item, line.Quantity, line.Sensor), day, line.Samples, all[0], all[1], all[2], all[3], line.Known, told.Stamp.Key.Origin.Node, told.Time);
    }
}
