using KitMesh.Storage.RollUps;

namespace KitMesh.Storage.Postgres;

/// <summary>Minutes of series whose roll-ups must be built anew, by day, so that memory is bounded by a day of readings.</summary>
/// <param name="holdLimit">How far a reading reaches, in nanoseconds.</param>
internal sealed class WrongMinutes(long holdLimit)
{
    private const long MinutesPerDay = 24 * 60;
    private readonly SortedDictionary<long, Dictionary<RollUpLine, Span>> _days = [];

    /// <summary>The days, in order.</summary>
    public IEnumerable<IReadOnlyDictionary<RollUpLine, Span>> Days => _days.Values;

    /// <summary>A reading appeared or vanished at a time.</summary>
    public void Touch(RollUpLine line, long time)
    {
        if (PostgresRollUps.IsBelieved(time))
        {
            TouchMinute(line, BucketPlace.NumberOf(RollUpSpan.Minute, time));
        }
    }

    /// <summary>A reading appeared or vanished in a minute.</summary>
    public void TouchMinute(RollUpLine line, long first)
    {
        long minute = BucketPlace.LengthOf(RollUpSpan.Minute);
        long last = first + (holdLimit / minute) + 1;
        for (long day = FloorDay(first); day * MinutesPerDay <= last; day++)
        {
            if (!_days.TryGetValue(day, out Dictionary<RollUpLine, Span>? lines))
            {
                _days.Add(day, lines = []);
            }

            var part = new Span(Math.Max(first, day * MinutesPerDay), Math.Min(last, ((day + 1) * MinutesPerDay) - 1));
            lines[line] = lines.TryGetValue(line, out Span known) ? new Span(Math.Min(known.First, part.First), Math.Max(known.Last, part.Last)) : part;
        }
    }

    private static long FloorDay(long minute) => (minute / MinutesPerDay) - (minute % MinutesPerDay < 0 ? 1 : 0);

    /// <summary>Minutes of one day, from first to last.</summary>
    /// <param name="First">Number of the first minute since 1970.</param>
    /// <param name="Last">Number of the last one.</param>
    internal readonly record struct Span(long First, long Last)
    {
        /// <summary>The blocks that a rebuild of these minutes reads or writes.</summary>
        public IEnumerable<(int Series, RollUpSpan Span, long Block)> Blocks(int series)
        {
            long minute = BucketPlace.LengthOf(RollUpSpan.Minute);
            (long from, long until) = (First * minute, ((Last + 1) * minute) - 1);
            for (long hour = BucketPlace.NumberOf(RollUpSpan.Hour, from); hour <= BucketPlace.NumberOf(RollUpSpan.Hour, until); hour++)
            {
                yield return (series, RollUpSpan.Minute, BucketPlace.Of(RollUpSpan.Minute, hour * 60).Block);
                yield return (series, RollUpSpan.Hour, BucketPlace.Of(RollUpSpan.Hour, hour).Block);
            }

            yield return (series, RollUpSpan.Day, BucketPlace.Of(RollUpSpan.Day, BucketPlace.NumberOf(RollUpSpan.Day, from)).Block);
        }
    }

    /// <summary>The minutes, old and new, in which readings of a series moved.</summary>
    internal sealed class Times
    {
        private readonly HashSet<long> _minutes = [];

        /// <summary>Their numbers since 1970.</summary>
        public IReadOnlyCollection<long> Minutes => _minutes;

        /// <summary>Adds a time; odd ones are left out.</summary>
        public void Add(long time)
        {
            if (PostgresRollUps.IsBelieved(time))
            {
                _minutes.Add(BucketPlace.NumberOf(RollUpSpan.Minute, time));
            }
        }
    }
}
