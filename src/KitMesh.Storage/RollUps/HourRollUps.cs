using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Storage.RollUps;

// Problem: the roll-ups of a store for those who have only the reports: an export of a journal, in no order of time and larger than memory.
// Trap: how long a value held is known only when the next one is, which may stand in another day; the last of a series holds for no time.
// Method: the same sample and hold in integers as RollUpBuckets, for one window of time whose readings fit; each reading is kept in 32 bytes, sorted once.
// Check: ExportTotalsTests (the same means from a query engine's SQL).

/// <summary>Hourly roll-ups of the readings of one window.</summary>
/// <param name="from">Begin of the window, on a full hour of UTC.</param>
/// <param name="until">End of the window.</param>
public sealed class HourRollUps(Instant from, Instant until)
{
    /// <summary>How long a reading is believed to hold when no other follows.</summary>
    public static readonly Duration HoldLimit = Duration.FromHours(1);

    private readonly record struct Kept(long Time, int Origin, ulong Sequence, long Units);

    private readonly long _from = Nanoseconds(from);
    private readonly long _until = Nanoseconds(until);
    private readonly Dictionary<SeriesKey, List<Kept>> _series = [];
    private readonly Dictionary<SeriesKey, long> _last = [];
    private readonly Dictionary<OriginId, int> _numbers = [];
    private readonly List<OriginId> _origins = [];
    private readonly List<(SeriesKey Series, long Units)> _found = [];

    /// <summary>Readings held.</summary>
    public long Count { get; private set; }

    /// <summary>Takes a report in; what lies outside the window by more than a hold is passed over.</summary>
    /// <param name="timed">The report.</param>
    public void Add(TimedReport timed)
    {
        ArgumentNullException.ThrowIfNull(timed);
        _found.Clear();
        ReportSeries.Collect(timed.Report.Body, _found);
        bool isNear = timed.Time >= from - HoldLimit && timed.Time <= until + HoldLimit;
        long time = Nanoseconds(timed.Time);
        foreach ((SeriesKey series, long units) in _found)
        {
            _last[series] = Math.Max(_last.GetValueOrDefault(series, long.MinValue), time);
            if (!isNear)
            {
                continue;
            }

            if (!_series.TryGetValue(series, out List<Kept>? kept))
            {
                _series.Add(series, kept = []);
            }

            kept.Add(new Kept(time, Number(timed.Report.Key.Origin), timed.Report.Key.Sequence, units));
            Count++;
        }
    }

    /// <summary>The hours in the window that know anything, by series and time.</summary>
    public IEnumerable<(SeriesKey Series, RollUp Hour)> Hours()
    {
        foreach ((SeriesKey series, List<Kept> kept) in _series.OrderBy(entry => entry.Key))
        {
            kept.Sort(Compare);
            foreach ((long number, Bucket bucket) in Buckets(kept, _last[series]))
            {
                long length = BucketPlace.LengthOf(RollUpSpan.Hour);
                double Value(double units) => SeriesScale.Value(series.Quantity, units);
                yield return (series, new RollUp(
                    NodaConstants.UnixEpoch + Duration.FromNanoseconds(number * length), RollUpSpan.Hour, bucket.Samples, Value(bucket.Min),
                    bucket.Known > 0 ? Value((double)bucket.Weighted / bucket.Known) : Value(bucket.Last), Value(bucket.Max), Value(bucket.Last), Duration.FromNanoseconds(bucket.Known)));
            }
        }
    }

    private static long Nanoseconds(Instant time) => (time - NodaConstants.UnixEpoch).ToInt64Nanoseconds();

    private SortedDictionary<long, Bucket> Buckets(List<Kept> kept, long last)
    {
        var buckets = new SortedDictionary<long, Bucket>();
        long hold = HoldLimit.ToInt64Nanoseconds();
        long length = BucketPlace.LengthOf(RollUpSpan.Hour);
        Bucket Touch(long number)
        {
            if (!buckets.TryGetValue(number, out Bucket? bucket))
            {
                buckets.Add(number, bucket = new Bucket());
            }

            return bucket;
        }

        for (int i = 0; i < kept.Count; i++)
        {
            Kept one = kept[i];
            if (one.Time >= _from && one.Time < _until)
            {
                Touch(BucketPlace.NumberOf(RollUpSpan.Hour, one.Time)).Read(one.Units);
            }

            long next = i + 1 < kept.Count ? kept[i + 1].Time : one.Time < last ? long.MaxValue : one.Time;
            long end = Math.Min(_until, Math.Min(next, one.Time + hold));
            for (long at = Math.Max(_from, one.Time); at < end;)
            {
                long number = BucketPlace.NumberOf(RollUpSpan.Hour, at);
                long to = Math.Min(end, (number + 1) * length);
                Touch(number).Hold(one.Units, to - at);
                at = to;
            }
        }

        return buckets;
    }

    private int Compare(Kept a, Kept b)
    {
        int order = a.Time.CompareTo(b.Time);
        order = order != 0 ? order : _origins[a.Origin].CompareTo(_origins[b.Origin]);
        order = order != 0 ? order : a.Sequence.CompareTo(b.Sequence);
        return order != 0 ? order : a.Units.CompareTo(b.Units);
    }

    private int Number(OriginId origin)
    {
        if (!_numbers.TryGetValue(origin, out int number))
        {
            number = _origins.Count;
            _numbers.Add(origin, number);
            _origins.Add(origin);
        }

        return number;
    }
}
