using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Storage.RollUps;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Export.Tables;

// Problem: a trip's reports as tables that any query engine reads as they are, from a journal that is larger than memory and in no order of time.
// Method: rows gather by table, team and day; when more than a bound are held, the fullest partitions go to disk as another part file. Partitions are
// folders named column=value, which engines read as columns. Nothing is sorted across parts: order is a query's business.

/// <summary>Writes reports as partitioned tables.</summary>
public sealed class TableExport
{
    /// <summary>The most rows held in memory.</summary>
    public const int MostRows = 200_000;

    private readonly Dictionary<(bool IsReadings, string Team, LocalDate Day), List<TableRow>> _held = [];
    private readonly Dictionary<(bool IsReadings, string Team, LocalDate Day), int> _parts = [];
    private readonly IReadOnlyDictionary<string, KitId> _owners;
    private readonly Offset _zone;
    private readonly string _folder;
    private readonly TableFormat _format;
    private int _rows;

    /// <summary>An export into an empty folder.</summary>
    /// <param name="folder">The folder.</param>
    /// <param name="format">How.</param>
    /// <param name="state">The trip, for teams and civil days.</param>
    public TableExport(string folder, TableFormat format, TripState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        _folder = folder;
        _format = format;
        KitItem[] kit = [.. state.Kit];
        _owners = KitOwners.Of(kit, state);
        _zone = kit.OfType<Trip>().FirstOrDefault()?.ZoneOffset ?? Offset.Zero;
    }

    /// <summary>Rows written or held, readings.</summary>
    public long Readings { get; private set; }

    /// <summary>Rows written or held, reports.</summary>
    public long Reports { get; private set; }

    /// <summary>Part files written.</summary>
    public int Files { get; private set; }

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
            Readings++;
            Hold(true, day, Row(timed, series.Item.Value) with { Sensor = series.Sensor, Quantity = series.Quantity.ToString(), Unit = ReportValues.Unit(series.Quantity), Value = value });
        }

        if (values.Count == 0)
        {
            Reports++;
            Hold(false, day, Row(timed, ItemOf(timed.Report.Body)) with { Text = timed.Report.Body.ToString() ?? "" });
        }

        while (_rows > MostRows)
        {
            await FlushAsync(_held.MaxBy(entry => entry.Value.Count).Key, cancellation).ConfigureAwait(false);
        }
    }

    /// <summary>Writes what is held.</summary>
    /// <param name="cancellation">Stops.</param>
    public async Task CompleteAsync(CancellationToken cancellation)
    {
        foreach ((bool IsReadings, string Team, LocalDate Day) partition in _held.Keys.ToArray())
        {
            await FlushAsync(partition, cancellation).ConfigureAwait(false);
        }
    }

    private static TableRow Row(TimedReport timed, string item) => new(
        (timed.Time - NodaConstants.UnixEpoch).ToInt64Nanoseconds(),
        timed.Report.Key.Origin.Node.Value,
        timed.Report.Key.Origin.Epoch.ToString("x16", CultureInfo.InvariantCulture),
        (long)timed.Report.Key.Sequence,
        timed.Report.Body.Kind.ToString(),
        item,
        "",
        "",
        "",
        0,
        "");

    private static string ItemOf(ReportBody body) => body switch
    {
        CardSeen card => card.Card.Value,
        ClipFound clip => clip.Card.Value,
        CopyMade copy => copy.Drive.Value,
        CopyVerified copy => copy.Drive.Value,
        CopyFailed copy => copy.Drive?.Value ?? "",
        CardFormatted card => card.Card.Value,
        CardReleased card => card.Card.Value,
        KitDeclared kit => kit.Item.Id.Value,
        KitPlaced placed => placed.Item.Value,
        Note note => note.Subject?.Value ?? "",
        ReaderFault fault => fault.Subject?.Value ?? "",
        AlertChanged alert => alert.Subject.Value,
        BatteryReading battery => battery.Pack.Value,
        TemperatureReading thermometer => thermometer.Subject.Value,
        PanelReading panel => panel.Panel.Value,
        LoadReading load => load.Load.Value,
        _ => "",
    };

    private void Hold(bool isReadings, LocalDate day, TableRow row)
    {
        string team = _owners.TryGetValue(row.Item, out KitId owner) ? owner.Value : "none";
        if (!_held.TryGetValue((isReadings, team, day), out List<TableRow>? rows))
        {
            _held.Add((isReadings, team, day), rows = []);
        }

        rows.Add(row);
        _rows++;
    }

    private async Task FlushAsync((bool IsReadings, string Team, LocalDate Day) partition, CancellationToken cancellation)
    {
        List<TableRow> rows = _held[partition];
        int part = _parts.GetValueOrDefault(partition);
        _parts[partition] = part + 1;
        string folder = Path.Combine(_folder, partition.IsReadings ? "readings" : "reports", $"team={Uri.EscapeDataString(partition.Team)}", $"day={LocalDatePattern.Iso.Format(partition.Day)}");
        Directory.CreateDirectory(folder);
        string name = string.Create(CultureInfo.InvariantCulture, $"part-{part:0000}");
        await (_format == TableFormat.Parquet
            ? TableFile.WriteParquetAsync(Path.Combine(folder, name + ".parquet"), partition.IsReadings, rows, cancellation)
            : TableFile.WriteCsvAsync(Path.Combine(folder, name + ".csv"), partition.IsReadings, rows, cancellation)).ConfigureAwait(false);
        Files++;
        _rows -= rows.Count;
        _held.Remove(partition);
    }
}
