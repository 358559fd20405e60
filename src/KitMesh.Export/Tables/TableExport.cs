using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Storage.RollUps;
using NodaTime;

namespace KitMesh.Export.Tables;

/// <summary>Writes reports and their hourly roll-ups as partitioned tables.</summary>
public sealed class TableExport : IAsyncDisposable
{
    /// <summary>The most rows of readings held in memory.</summary>
    public const int MostRows = 200_000;

    private const int MostEvents = 50_000;

    private readonly IReadOnlyDictionary<string, KitId> _owners;
    private readonly Offset _zone;
    private readonly string _folder;
    private readonly PartitionedTable<ReadingRow> _readings;
    private readonly PartitionedTable<EventRow> _reports;
    private readonly PartitionedTable<RollUpRow> _rollUps;
    private readonly HourRollUps _hours;
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
        _hours = new HourRollUps(Path.Combine(folder, "readings-by-day.part"));
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

        _hours.Add(timed);
    }

    /// <summary>Rolls up everything added and writes what is held. Without it an export is not whole.</summary>
    /// <param name="cancellation">Stops.</param>
    public async Task CompleteAsync(CancellationToken cancellation)
    {
        foreach ((SeriesKey series, RollUp hour) in _hours.Hours())
        {
            await _rollUps.AddAsync(Owner(series.Item.Value), hour.Start.WithOffset(_zone).Date, new RollUpRow(Nanoseconds(hour.Start), series, hour), cancellation).ConfigureAwait(false);
        }

        await _readings.CompleteAsync(cancellation).ConfigureAwait(false);
        await _reports.CompleteAsync(cancellation).ConfigureAwait(false);
        await _rollUps.CompleteAsync(cancellation).ConfigureAwait(false);
        new ExportList(PartitionedTable<ReadingRow>.Schema, Readings, Reports, RollUps, [.. _readings.Files, .. _reports.Files, .. _rollUps.Files]).Write(_folder);
    }

    /// <summary>Waits for files that are being written.</summary>
    public async ValueTask DisposeAsync()
    {
        await _readings.DisposeAsync().ConfigureAwait(false);
        await _reports.DisposeAsync().ConfigureAwait(false);
        await _rollUps.DisposeAsync().ConfigureAwait(false);
        _hours.Dispose();
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
