using KitMesh.Domain.Reports;
using KitMesh.Storage.RollUps;
using KitMesh.Storage.Segments;

namespace KitMesh.Storage.LiteDb;

/// <summary>Rebuilds the roll-ups that a late report or a new clock offset made wrong.</summary>
/// <remarks>
/// Problem: least and greatest values cannot be taken back, so wrong buckets must be built anew from the reports.
/// Trap: a new offset can move a week of reports, and holding all their values at once would not fit a small machine.
/// Method: wrong minutes are collected by series and day; each day is read once from the segments that overlap it, for all
/// its series together, so memory is bounded by one day of readings. A reading reaches no further than the hold limit,
/// which bounds what must be read around the wrong minutes.
/// </remarks>
internal sealed class RollUpRebuild(SegmentTable segments, RollUpTable rollUps, ReportDecoder decode, long holdLimit)
{
    private readonly SortedDictionary<long, Dictionary<Series, Minutes>> _wrong = [];

    /// <summary>Whether anything must be rebuilt.</summary>
    public bool IsNeeded => _wrong.Count > 0;

    /// <summary>Notes that a reading appeared or vanished at a time.</summary>
    public void Touch(Series series, long time)
    {
        long first = BucketPlace.NumberOf(RollUpSpan.Minute, time);
        long last = BucketPlace.NumberOf(RollUpSpan.Minute, time + holdLimit);
        const long minutesPerDay = 24 * 60;
        for (long day = BucketPlace.NumberOf(RollUpSpan.Day, time); day * minutesPerDay <= last; day++)
        {
            if (!_wrong.TryGetValue(day, out Dictionary<Series, Minutes>? bySeries))
            {
                _wrong.Add(day, bySeries = []);
            }

            var part = new Minutes(Math.Max(first, day * minutesPerDay), Math.Min(last, ((day + 1) * minutesPerDay) - 1));
            bySeries[series] = bySeries.TryGetValue(series, out Minutes known)
                ? new Minutes(Math.Min(known.First, part.First), Math.Max(known.Last, part.Last))
                : part;
        }
    }

    /// <summary>Rebuilds everything noted.</summary>
    public void Run()
    {
        long minute = BucketPlace.LengthOf(RollUpSpan.Minute);
        foreach (Dictionary<Series, Minutes> day in _wrong.Values)
        {
            long from = (day.Values.Min(minutes => minutes.First) * minute) - holdLimit;
            long until = (day.Values.Max(minutes => minutes.Last) + 1) * minute;
            Dictionary<SeriesKey, List<Sample>> samples = Gather([.. day.Keys], from, until);
            foreach ((Series series, Minutes minutes) in day)
            {
                List<Sample> own = samples.GetValueOrDefault(series.Key) ?? [];
                own.Sort();
                rollUps.Of(series).Rebuild(minutes.First, minutes.Last, own, series.Last ?? default);
            }
        }

        _wrong.Clear();
    }

    /// <summary>The last reading of a series, found by looking; null when there is none.</summary>
    public Sample? FindLast(Series series)
    {
        Sample? last = null;
        foreach (SegmentInfo info in Candidates(SegmentInfo.BitOf(series.Key.Item)).OrderByDescending(info => info.Newest))
        {
            if (last is { } found && info.Newest < found.TimeNanoseconds)
            {
                break;
            }

            foreach ((SeriesKey key, Sample sample) in Samples(info, long.MinValue, long.MaxValue))
            {
                last = key == series.Key && (last is not { } best || sample.CompareTo(best) > 0) ? sample : last;
            }
        }

        return last;
    }

    private Dictionary<SeriesKey, List<Sample>> Gather(IReadOnlyCollection<Series> wanted, long from, long until)
    {
        var samples = new Dictionary<SeriesKey, List<Sample>>();
        ulong items = 0;
        foreach (Series series in wanted)
        {
            samples[series.Key] = [];
            items |= SegmentInfo.BitOf(series.Key.Item);
        }

        foreach (SegmentInfo info in Candidates(items).Where(info => info.Newest >= from && info.Oldest < until))
        {
            foreach ((SeriesKey key, Sample sample) in Samples(info, from, until))
            {
                if (samples.TryGetValue(key, out List<Sample>? list))
                {
                    list.Add(sample);
                }
            }
        }

        return samples;
    }

    private IEnumerable<SegmentInfo> Candidates(ulong items) =>
        segments.Index.All.Where(info => (info.Kinds & ReportSeries.Kinds) != 0 && (info.Items & items) != 0);

    private IEnumerable<(SeriesKey Key, Sample Sample)> Samples(SegmentInfo info, long from, long until)
    {
        SegmentEntry[] entries = segments.Read(info);
        var values = new List<(SeriesKey Series, long Units)>();
        for (int i = 0; i < entries.Length; i++)
        {
            SegmentEntry entry = entries[i];
            if (entry.TimeNanoseconds < from || entry.TimeNanoseconds >= until || !IsRolledUp(entry))
            {
                continue;
            }

            var key = new ReportKey(info.Origin, info.First + (ulong)i);
            values.Clear();
            ReportSeries.Collect(decode(new RawReport(key, entry.Bytes)).Body, values);
            foreach ((SeriesKey series, long units) in values)
            {
                yield return (series, new Sample(entry.TimeNanoseconds, key, units));
            }
        }
    }

    private static bool IsRolledUp(SegmentEntry entry) =>
        (SegmentInfo.BitOf(entry.Kind) & ReportSeries.Kinds) != 0 && Math.Abs(entry.TimeNanoseconds / 2) <= RollUpBuckets.FarthestTime / 2;

    private readonly record struct Minutes(long First, long Last);
}
