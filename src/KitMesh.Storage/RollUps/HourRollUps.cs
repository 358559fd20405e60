using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Storage.RollUps;

// Problem: the roll-ups of a store for those who have only the reports: an export of a journal, in no order of time and larger than memory.
// Trap: how long a value held is known only when the next one is, which may stand in another day; the last of a series holds for no time.
// Method: the same sample and hold in integers as RollUpBuckets. Readings go to a file by day of UTC (SampleSpill), those within an hour of midnight to both days; then
// day by day they are rolled up, a day that is larger than a bound in several parts of its series. So reports are gone through once, and memory does not grow with them.
// What one series holds in one day must fit.
// Check: HourRollUpsTests (against a plain sum over all readings), ExportTotalsTests (the same means from a query engine's SQL).

/// <summary>Hourly roll-ups of readings that come in any order.</summary>
public sealed class HourRollUps : IDisposable
{
    /// <summary>How long a reading is believed to hold when no other follows.</summary>
    public static readonly Duration HoldLimit = Duration.FromHours(1);

    /// <summary>The most readings held at once, in 32 bytes each, unless one series alone has more in a day.</summary>
    public const int MostSamples = 1_000_000;

    private static readonly long Hold = HoldLimit.ToInt64Nanoseconds();
    private static readonly long DayLength = Duration.FromDays(1).ToInt64Nanoseconds();

    private readonly SampleSpill _spill;
    private readonly int _mostSamples;
    private readonly Dictionary<SeriesKey, int> _numbers = [];
    private readonly List<(SeriesKey Key, long Last)> _series = [];
    private readonly Dictionary<OriginId, int> _originNumbers = [];
    private readonly List<OriginId> _origins = [];
    private readonly List<(SeriesKey Series, long Units)> _found = [];

    /// <summary>Nothing rolled up yet.</summary>
    /// <param name="spill">A file that is not there yet, for readings meanwhile; it goes when this is disposed.</param>
    /// <param name="mostSamples">The most readings held at once.</param>
    public HourRollUps(string spill, int mostSamples = MostSamples)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(mostSamples, 1);
        _spill = new SampleSpill(spill);
        _mostSamples = mostSamples;
    }

    /// <summary>Takes a report in.</summary>
    /// <param name="timed">The report.</param>
    public void Add(TimedReport timed)
    {
        ArgumentNullException.ThrowIfNull(timed);
        _found.Clear();
        ReportSeries.Collect(timed.Report.Body, _found);
        if (_found.Count == 0)
        {
            return;
        }

        long time = (timed.Time - NodaConstants.UnixEpoch).ToInt64Nanoseconds();
        int origin = OriginNumber(timed.Report.Key.Origin);
        long day = DayOf(time);
        long beside = DayOf(time - Hold) is var before && before != day ? before : DayOf(time + Hold);
        foreach ((SeriesKey key, long units) in _found)
        {
            int series = SeriesNumber(key, time);
            var sample = new RollUpSample(time, series, origin, timed.Report.Key.Sequence, units);
            _spill.Add(day, sample);
            if (beside != day)
            {
                _spill.Add(beside, sample);
            }
        }
    }

    /// <summary>The hours that know anything, by day, series and time.</summary>
    public IEnumerable<(SeriesKey Series, RollUp Hour)> Hours()
    {
        foreach (long day in _spill.Days)
        {
            int parts = (int)((_spill.CountOf(day) + _mostSamples - 1) / _mostSamples);
            for (int part = 0; part < parts; part++)
            {
                foreach ((int series, List<RollUpSample> samples) in SamplesOf(day, part, parts).OrderBy(entry => _series[entry.Key].Key))
                {
                    (SeriesKey key, long last) = _series[series];
                    foreach ((long number, Bucket bucket) in Buckets(samples, day * DayLength, last))
                    {
                        yield return (key, bucket.Show(key.Quantity, RollUpSpan.Hour, number));
                    }
                }
            }
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _spill.Dispose();

    // Days before 1970 too.
    private static long DayOf(long time) => time >= 0 ? time / DayLength : ((time + 1) / DayLength) - 1;

    private Dictionary<int, List<RollUpSample>> SamplesOf(long day, int part, int parts)
    {
        var bySeries = new Dictionary<int, List<RollUpSample>>();
        foreach (RollUpSample[] block in _spill.Read(day))
        {
            foreach (RollUpSample sample in block)
            {
                if (sample.Series % parts != part)
                {
                    continue;
                }

                if (!bySeries.TryGetValue(sample.Series, out List<RollUpSample>? samples))
                {
                    bySeries.Add(sample.Series, samples = []);
                }

                samples.Add(sample);
            }
        }

        foreach (List<RollUpSample> samples in bySeries.Values)
        {
            Order(samples);
        }

        return bySeries;
    }

    // A journal holds most series in their order already.
    private void Order(List<RollUpSample> samples)
    {
        for (int i = 1; i < samples.Count; i++)
        {
            if (Compare(samples[i - 1], samples[i]) > 0)
            {
                samples.Sort(Compare);
                return;
            }
        }
    }

    private static SortedDictionary<long, Bucket> Buckets(List<RollUpSample> samples, long from, long last)
    {
        long until = from + DayLength;
        long length = BucketPlace.LengthOf(RollUpSpan.Hour);
        var buckets = new SortedDictionary<long, Bucket>();
        Bucket Touch(long number)
        {
            if (!buckets.TryGetValue(number, out Bucket? bucket))
            {
                buckets.Add(number, bucket = new Bucket());
            }

            return bucket;
        }

        for (int i = 0; i < samples.Count; i++)
        {
            RollUpSample one = samples[i];
            if (one.Time >= from && one.Time < until)
            {
                Touch(BucketPlace.NumberOf(RollUpSpan.Hour, one.Time)).Read(one.Units);
            }

            long next = i + 1 < samples.Count ? samples[i + 1].Time : one.Time < last ? long.MaxValue : one.Time;
            long end = Math.Min(until, Math.Min(next, one.Time + Hold));
            for (long at = Math.Max(from, one.Time); at < end;)
            {
                long number = BucketPlace.NumberOf(RollUpSpan.Hour, at);
                long to = Math.Min(end, (number + 1) * length);
                Touch(number).Hold(one.Units, to - at);
                at = to;
            }
        }

        return buckets;
    }

    private int Compare(RollUpSample a, RollUpSample b)
    {
        int order = a.Time.CompareTo(b.Time);
        order = order != 0 || a.Origin == b.Origin ? order : _origins[a.Origin].CompareTo(_origins[b.Origin]);
        order = order != 0 ? order : a.Sequence.CompareTo(b.Sequence);
        return order != 0 ? order : a.Units.CompareTo(b.Units);
    }

    private int SeriesNumber(SeriesKey key, long time)
    {
        if (!_numbers.TryGetValue(key, out int number))
        {
            _numbers.Add(key, number = _series.Count);
            _series.Add((key, time));
        }
        else if (time > _series[number].Last)
        {
            _series[number] = (key, time);
        }

        return number;
    }

    private int OriginNumber(OriginId origin)
    {
        if (!_originNumbers.TryGetValue(origin, out int number))
        {
            _originNumbers.Add(origin, number = _origins.Count);
            _origins.Add(origin);
        }

        return number;
    }
}
