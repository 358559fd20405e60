using KitMesh.Domain.Reports;
using KitMesh.Storage.RollUps;
using NodaTime;

namespace KitMesh.Storage.Days;

/// <summary>What one series did on one of the crew's days, from the readings here or as another hub told it. Values are in the unit of the quantity.</summary>
/// <param name="Series">The series.</param>
/// <param name="Day">The day.</param>
/// <param name="Samples">Readings behind it.</param>
/// <param name="Least">The least value that held.</param>
/// <param name="Mean">The mean over the time in which a value was known.</param>
/// <param name="Greatest">The greatest value that held.</param>
/// <param name="Last">The value at the end.</param>
/// <param name="Known">For how long a value was known.</param>
/// <param name="By">The hub that told it; null when it is from the readings that are here.</param>
/// <param name="Told">When that hub wrote it.</param>
public sealed record DayFigure(
    SeriesKey Series,
    CrewDay Day,
    long Samples,
    double Least,
    double Mean,
    double Greatest,
    double Last,
    Duration Known,
    NodeId? By = null,
    Instant? Told = null)
{
    /// <summary>Whether a hub's word says more than readings that are here; with as many readings here they alone count.</summary>
    /// <param name="samplesHere">Readings of that day that are here.</param>
    public bool IsAheadOf(long samplesHere) => Samples > samplesHere;

    /// <summary>The days of a series, oldest first, from its hours; days with no reading of their own are left out.</summary>
    /// <param name="series">The series.</param>
    /// <param name="hours">Its roll-ups by the hour, oldest first.</param>
    /// <param name="zone">The crew's offset from UTC.</param>
    public static IReadOnlyList<DayFigure> OfHours(SeriesKey series, IReadOnlyList<RollUp> hours, Offset zone) =>
    [
        .. hours.GroupBy(hour => CrewDay.Holding(hour.Start, zone)).Select(day => Join(series, day.Key, [.. day])).Where(day => day.Samples > 0),
    ];

    /// <summary>The same as a line of a report.</summary>
    internal DayLine ToLine()
    {
        double scale = SeriesScale.PerUnit(Series.Quantity);
        long Fixed(double value) => (long)Math.Round(value * scale, MidpointRounding.ToEven);
        return new DayLine(Series.Quantity, Series.Sensor, Samples, Fixed(Least), Fixed(Mean), Fixed(Greatest), Fixed(Last), Duration.FromSeconds((long)Known.TotalSeconds));
    }

    private static DayFigure Join(SeriesKey series, CrewDay day, RollUp[] hours)
    {
        double known = hours.Sum(hour => hour.Known.TotalNanoseconds);
        return new DayFigure(
            series,
            day,
            hours.Sum(hour => (long)hour.Samples),
            hours.Min(hour => hour.Min),
            known > 0 ? hours.Sum(hour => hour.Mean * hour.Known.TotalNanoseconds) / known : hours[^1].Last,
            hours.Max(hour => hour.Max),
            hours[^1].Last,
            Duration.FromNanoseconds(known));
    }
}
