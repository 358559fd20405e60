using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Storage.RollUps;
using NodaTime;

namespace KitMesh.Export.Tables;

/// <summary>Writes reports and their hourly roll-ups as partitioned tables.</summary>
public sealed class TableExport
{
    /// <summary>The most rows of readings held in memory.</summary>
    public const int MostRows = 200_000;

    /// <summary>The most readings held at once for roll-ups, in 32 bytes each; more take another pass over the reports.</summary>
    public const int MostSamples = 6_000_000;

    private const int MostEvents = 50_000;

    private readonly IReadOnlyDictionary<string, KitId> _owners;
    private readonly Offset _zone;
    private readonly string _folder;
    private readonly PartitionedTable<ReadingRow> _readings;
    private readonly PartitionedTable<EventRow> _reports;
    private readonly PartitionedTable<RollUpRow> _rollUps;
    private readonly SortedDictionary<LocalDate, long> _samples = [];
    private readonly Dictionary<ReportKind, string> _kinds = [];
    private readonly Dictionary<ulong, string> _epochs = [];

    /// <summary>An export into an empty folder.</summary>
    /// <param name="folder">The folder.</param>
    /// <param name="format">How.</param>
    /// <param name="state">The trip, for teams and civil days.</param>
    public TableExport(string folder, TableFormat format, TripState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        Directory.CreateDirectory(folder);
        _folder = folder;
        KitItem[] kit = [.. state.Kit];
        _owners = KitOwners.Of(kit, state);
        _zone = kit.OfType<Trip>().FirstOrDefault()?.ZoneOffset ?? Offset.Zero;
        _readings = new PartitionedTable<ReadingRow>(folder, "readings", format, MostRows, TableShapes.Readings);
        _reports = new PartitionedTable<EventRow>(folder, "reports", format, MostEvents, TableShapes.Reports);
        _rollUps = new PartitionedTable<RollUpRow>(folder, "rollups", format, MostEvents, TableShapes.RollUps);
    }

    /// <summary>Rows of readings.</summary>
    public long Readings => _readings.Count;

    /// <summary>Rows of reports.</summary>
    public long Reports => _reports.Count;

    /// <summary>Rows of roll-ups.</summary>
    public long RollUps => _rollUps.Count;

    /// <summary>Part files written.</summary>
    public int Files => _readings.Files.Count + _reports.Files.Count + _rollUps.Files.Count;

    /// <summary>Adds one report.</summary>
    /// <param name="timed">The report with its time.</param>
    /// <param name="cancellation">Stops.</param>
    public async Task AddAsync(TimedReport timed, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(timed);
        IReadOnlyList<(SeriesKey Series, double Value)> values = ReportValues.Of(timed.Report.Body);
        LocalDate day = timed.Time.WithOffset(_zone).Date;
        foreach ((SeriesKey series, double value) in values)
        {
            var row = new ReadingRow(
                Nanoseconds(timed.Time), timed.Report.Key.Origin.Node.Value, Epoch(timed), (long)timed.Report.Key.Sequence, Kind(timed), series.Item.Value, series.Sensor,
                series.Quantity.ToString(), ReportValues.Unit(series.Quantity), value);
            await _readings.AddAsync(Owner(row.Item), day, row, cancellation).ConfigureAwait(false);
        }

        if (values.Count == 0)
        {
            EventRow row = EventRows.Of(timed, Epoch(timed), Kind(timed));
            await _reports.AddAsync(Owner(row.Item), day, row, cancellation).ConfigureAwait(false);
            return;
        }

        LocalDate utc = timed.Time.InUtc().Date;
        _samples[utc] = _samples.GetValueOrDefault(utc) + values.Count;
    }

    /// <summary>Rolls up everything added, in as many passes as memory asks for, and writes what is held.</summary>
    /// <param name="again">Every report once more, from its begin.</param>
    /// <param name="cancellation">Stops.</param>
    public async Task CompleteAsync(Func<IEnumerable<TimedReport>> again, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(again);
        foreach ((LocalDate first, LocalDate last) in Windows())
        {
            var hours = new HourRollUps(first.AtMidnight().InUtc().ToInstant(), last.PlusDays(1).AtMidnight().InUtc().ToInstant());
            foreach (TimedReport timed in again())
            {
                cancellation.ThrowIfCancellationRequested();
                hours.Add(timed);
            }

            foreach ((SeriesKey series, RollUp hour) in hours.Hours())
            {
                await _rollUps.AddAsync(Owner(series.Item.Value), hour.Start.WithOffset(_zone).Date, new RollUpRow(Nanoseconds(hour.Start), series, hour), cancellation).ConfigureAwait(false);
            }
        }

        await _readings.CompleteAsync(cancellation).ConfigureAwait(false);
        await _reports.CompleteAsync(cancellation).ConfigureAwait(false);
        await _rollUps.CompleteAsync(cancellation).ConfigureAwait(false);
        new ExportList(PartitionedTable<ReadingRow>.Schema, Readings, Reports, RollUps, [.. _readings.Files, .. _reports.Files, .. _rollUps.Files]).Write(_folder);
    }

    // Days one after another whose readings fit; a single day that does not fit goes by itself.
    private IEnumerable<(LocalDate First, LocalDate Last)> Windows()
    {
        LocalDate? first = null;
        LocalDate last = default;
        long held = 0;
        foreach ((LocalDate day, long count) in _samples)
        {
            if (first is { } open && held + count > MostSamples)
            {
                // A value may reach into the day after, where no reading of its own stands.
                yield return (open, day > last.PlusDays(1) ? last.PlusDays(1) : last);
                (first, held) = (null, 0);
            }

            first ??= day;
            last = day;
            held += count;
        }

        if (first is { } rest)
        {
            yield return (rest, last.PlusDays(1));
        }
    }

    private static long Nanoseconds(Instant time) => (time - NodaConstants.UnixEpoch).ToInt64Nanoseconds();

    private KitId? Owner(string item) => _owners.TryGetValue(item, out KitId owner) ? owner : null;

    private string Kind(TimedReport timed)
    {
        ReportKind kind = timed.Report.Body.Kind;
        return _kinds.TryGetValue(kind, out string? name) ? name : _kinds[kind] = kind.ToString();
    }

    private string Epoch(TimedReport timed)
    {
        ulong epoch = timed.Report.Key.Origin.Epoch;
        return _epochs.TryGetValue(epoch, out string? text) ? text : _epochs[epoch] = epoch.ToString("x16", CultureInfo.InvariantCulture);
    }
}
