using KitMesh.Protocol;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Storage.Queries;
using KitMesh.Storage.RollUps;
using KitMesh.Storage.Segments;
using KitMesh.Sync.Journal;
using ZstdSharp;

namespace KitMesh.Storage.LiteDb;

/// <summary>Everything that happens on the owner thread: the store without its queue.</summary>
internal sealed class LiteDbView : IDisposable
{
    private readonly LiteDbTables _tables;
    private readonly ReportDecoder _decode;
    private readonly Decompressor _decompressor = new();
    private readonly SegmentTable _segments;
    private readonly SegmentUnion _union;
    private readonly SeriesTable _series;
    private readonly RollUpTable _rollUps;
    private readonly StoreState _state;
    private readonly long _holdLimit;

    public LiteDbView(LiteDbTables tables, LiteDbStoreOptions options, ReportDecoder decode)
    {
        _tables = tables;
        _decode = decode;
        _holdLimit = options.HoldLimit.ToInt64Nanoseconds();
        _segments = new SegmentTable(tables, options.SegmentReports, options.CompressionLevel);
        _union = new SegmentUnion(_segments, options.SegmentReports);
        _series = new SeriesTable(tables, _decompressor);
        _rollUps = new RollUpTable(tables, _decompressor, _holdLimit);
        _state = new StoreState(tables, _decompressor);
        if (_segments.Index.All.Sum(info => (long)info.Count) != _state.Counts.Values.Sum())
        {
            throw new InvalidDataException("The counts do not fit the segments.");
        }
    }

    /// <summary>Where in the journal the next replay goes on.</summary>
    public JournalPosition AppliedTo => _state.AppliedTo;

    /// <summary>Adds reports as one transaction.</summary>
    public StoreReceipt Write(IReadOnlyList<IncomingReport> reports, JournalPosition appliedTo) => _tables.InTransaction(() =>
    {
        SegmentUnion.Fate[] fates = Unite(reports);
        RollUp(reports, fates);
        for (int i = 0; i < fates.Length; i++)
        {
            if (fates[i] != SegmentUnion.Fate.Duplicate)
            {
                _state.Count(reports[i].Timed.Report.Body.Kind);
            }
        }

        _state.Apply(appliedTo);
        Save();
        return new StoreReceipt(
            fates.Count(fate => fate == SegmentUnion.Fate.Added),
            fates.Count(fate => fate == SegmentUnion.Fate.Duplicate),
            fates.Count(fate => fate == SegmentUnion.Fate.Fork));
    });

    /// <summary>Gives reports new times as one transaction.</summary>
    public bool Retime(SequenceSpan span, ReportTiming timing) => _tables.InTransaction(() =>
    {
        var rebuild = new RollUpRebuild(_segments, _rollUps, _decode, _holdLimit);
        var touched = new HashSet<Series>();
        List<SegmentInfo> spanned =
        [
            .. _segments.Index.From(span.Origin, span.First).TakeWhile(info => info.First <= span.Last),
            .. _segments.Index.Forks(span.Origin).Where(info => info.First >= span.First && info.First <= span.Last),
        ];
        foreach (SegmentInfo info in spanned)
        {
            RetimeSegment(info, span, timing, rebuild, touched);
        }

        foreach (Series series in touched)
        {
            // The reading that was the last now holds for a while, and the one that is the last no longer does.
            Sample? last = rebuild.FindLast(series);
            TouchAt(rebuild, series, series.Last);
            TouchAt(rebuild, series, last);
            _series.SetLast(series, last);
        }

        rebuild.Run();
        Save();
        return true;
    });

    /// <summary>One page of reports.</summary>
    public ReportPage Read(ReportQuery query) => new SegmentScan(_segments, _decode).Page(query);

    /// <summary>Reports of one origin in sequence.</summary>
    public IReadOnlyList<KeptReport> ReadOrigin(OriginId origin, ulong first, long maxBytes)
    {
        var found = new List<KeptReport>();
        long bytes = 0;
        foreach (SegmentInfo info in _segments.Index.From(origin, first))
        {
            SegmentEntry[] entries = _segments.Read(info);
            for (int i = first > info.First ? (int)(first - info.First) : 0; i < entries.Length; i++)
            {
                bytes += entries[i].Bytes.Length;
                if (found.Count > 0 && (bytes > maxBytes || found.Count >= StoreLimits.MaxPage))
                {
                    return found;
                }

                found.Add(Kept(info, i, entries[i]));
            }
        }

        return found;
    }

    /// <summary>Roll-ups of a series.</summary>
    public IReadOnlyList<RollUp> ReadRollUps(RollUpQuery query) =>
        _series.Find(query.Series) is { } series
            ? _rollUps.Read(series, query.Span, Nanoseconds.Of(query.From), Nanoseconds.Of(query.Until))
            : [];

    /// <summary>Every series.</summary>
    public IReadOnlyList<SeriesKey> ListSeries() => [.. _series.All.Where(series => series.Last is not null).Select(series => series.Key).Order()];

    /// <summary>Reports by kind.</summary>
    public IReadOnlyDictionary<ReportKind, long> CountByKind() => _state.Counts;

    /// <summary>What is kept of each origin.</summary>
    public IReadOnlyList<Watermark> ReadWatermarks() => [.. _segments.Index.Origins.Select(WatermarkOf).OfType<Watermark>()];

    /// <summary>Brings everything into the file before it is closed.</summary>
    public void Checkpoint() => _tables.Checkpoint();

    /// <summary>Lets go of a database that failed.</summary>
    public void Abandon()
    {
        _segments.Dispose();
        _decompressor.Dispose();
        _tables.Abandon();
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _segments.Dispose();
        _decompressor.Dispose();
        _tables.Dispose();
    }

    private SegmentUnion.Fate[] Unite(IReadOnlyList<IncomingReport> reports)
    {
        var fates = new SegmentUnion.Fate[reports.Count];
        var byOrigin = new Dictionary<OriginId, List<SegmentUnion.Addition>>();
        for (int i = 0; i < reports.Count; i++)
        {
            IncomingReport report = reports[i];
            if (!byOrigin.TryGetValue(report.Raw.Key.Origin, out List<SegmentUnion.Addition>? additions))
            {
                byOrigin.Add(report.Raw.Key.Origin, additions = []);
            }

            ReportBody body = report.Timed.Report.Body;
            ulong items = ReportItems.BitsOf(body);
            var entry = new SegmentEntry(Nanoseconds.Of(report.Timed.Time), Nanoseconds.Of(report.Arrived), body.Kind, report.Raw.Bytes);
            additions.Add(new SegmentUnion.Addition(report.Raw.Key.Sequence, entry, items, i));
        }

        foreach ((OriginId origin, List<SegmentUnion.Addition> additions) in byOrigin)
        {
            _union.Add(origin, additions, fates);
        }

        return fates;
    }

    private void RollUp(IReadOnlyList<IncomingReport> reports, SegmentUnion.Fate[] fates)
    {
        var bySeries = new Dictionary<SeriesKey, List<Sample>>();
        var values = new List<(SeriesKey Series, long Units)>();
        for (int i = 0; i < fates.Length; i++)
        {
            if (fates[i] == SegmentUnion.Fate.Duplicate)
            {
                continue;
            }

            values.Clear();
            ReportSeries.Collect(reports[i].Timed.Report.Body, values);
            long time = Nanoseconds.Of(reports[i].Timed.Time);
            foreach ((SeriesKey key, long units) in values)
            {
                if (Math.Abs(time / 2) <= RollUpBuckets.FarthestTime / 2)
                {
                    if (!bySeries.TryGetValue(key, out List<Sample>? samples))
                    {
                        bySeries.Add(key, samples = []);
                    }

                    samples.Add(new Sample(time, reports[i].Raw.Key, units));
                }
            }
        }

        var rebuild = new RollUpRebuild(_segments, _rollUps, _decode, _holdLimit);
        foreach ((SeriesKey key, List<Sample> samples) in bySeries)
        {
            Append(_series.FindOrAdd(key), samples, rebuild);
        }

        if (rebuild.IsNeeded)
        {
            rebuild.Run();
        }
    }

    private void Append(Series series, List<Sample> samples, RollUpRebuild rebuild)
    {
        samples.Sort();
        RollUpBuckets buckets = _rollUps.ToAppend(series);
        Sample? last = series.Last;
        foreach (Sample sample in samples)
        {
            if (last is { } known && sample.CompareTo(known) < 0)
            {
                rebuild.Touch(series, sample.TimeNanoseconds);
            }
            else
            {
                buckets.Append(last, sample);
                last = sample;
            }
        }

        _series.SetLast(series, last);
    }

    private void RetimeSegment(SegmentInfo info, SequenceSpan span, ReportTiming timing, RollUpRebuild rebuild, HashSet<Series> touched)
    {
        SegmentEntry[] entries = [.. _segments.Read(info)];
        var values = new List<(SeriesKey Series, long Units)>();
        bool changed = false;
        for (int i = 0; i < entries.Length; i++)
        {
            ulong sequence = info.First + (ulong)i;
            if (sequence < span.First || sequence > span.Last)
            {
                continue;
            }

            Report report = _decode(new RawReport(new ReportKey(info.Origin, sequence), entries[i].Bytes));
            long time = Nanoseconds.Of(timing(report));
            if (time == entries[i].TimeNanoseconds)
            {
                continue;
            }

            values.Clear();
            ReportSeries.Collect(report.Body, values);
            foreach ((SeriesKey key, long _) in values)
            {
                Series series = _series.FindOrAdd(key);
                touched.Add(series);
                TouchAt(rebuild, series, entries[i].TimeNanoseconds);
                TouchAt(rebuild, series, time);
            }

            entries[i] = entries[i] with { TimeNanoseconds = time };
            changed = true;
        }

        if (changed)
        {
            _segments.Retime(info, entries);
        }
    }

    private Watermark? WatermarkOf(OriginId origin)
    {
        IReadOnlyList<SegmentInfo> all = [.. _segments.Index.Of(origin), .. _segments.Index.Forks(origin)];
        return all.Count == 0 ? null : new Watermark(
            origin,
            _segments.Index.Ranges(origin),
            Nanoseconds.ToInstant(all.Min(info => info.Oldest)),
            Nanoseconds.ToInstant(all.Max(info => info.Newest)),
            Nanoseconds.ToInstant(all.Max(info => info.LastArrival)),
            _segments.Index.Forks(origin).Count);
    }

    private void Save()
    {
        _rollUps.Save();
        _series.Save();
        _state.Save();
    }

    private static void TouchAt(RollUpRebuild rebuild, Series series, Sample? sample)
    {
        if (sample is { } known)
        {
            TouchAt(rebuild, series, known.TimeNanoseconds);
        }
    }

    private static void TouchAt(RollUpRebuild rebuild, Series series, long time)
    {
        if (Math.Abs(time / 2) <= RollUpBuckets.FarthestTime / 2)
        {
            rebuild.Touch(series, time);
        }
    }

    private static KeptReport Kept(SegmentInfo info, int at, SegmentEntry entry) => new(
        new RawReport(new ReportKey(info.Origin, info.First + (ulong)at), entry.Bytes),
        Nanoseconds.ToInstant(entry.TimeNanoseconds),
        Nanoseconds.ToInstant(entry.ArrivedNanoseconds));
}
