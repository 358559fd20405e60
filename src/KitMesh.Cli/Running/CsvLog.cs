using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.TripFile.Import;
using nietras.SeparatedValues;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Cli.Running;

/// <summary>Turns a logger's table into readings. A cell that is empty or no number is left out and counted; a row without a time is counted.</summary>
internal sealed class CsvLog(ImportMap map)
{
    private readonly LocalDateTimePattern? _pattern = map.TimeFormat is "iso" or "unix" ? null : Pattern(map.TimeFormat);

    /// <summary>Rows read.</summary>
    public long Rows { get; private set; }

    /// <summary>Rows whose time could not be read.</summary>
    public long RowsWithoutTime { get; private set; }

    /// <summary>Cells that held no number.</summary>
    public long OddCells { get; private set; }

    /// <summary>Rows that are earlier than the one before.</summary>
    public long StepsBack { get; private set; }

    /// <summary>The first row that could not be read, for a person.</summary>
    public string FirstOdd { get; private set; } = "";

    /// <summary>The readings of a file.</summary>
    /// <param name="file">The file.</param>
    public IEnumerable<TimedReading> Read(string file)
    {
        using SepReader reader = Sep.New(map.Separator).Reader(options => options with { Unescape = true, DisableColCountCheck = true }).FromFile(file);
        int time = Column(reader, map.TimeColumn, file);
        (ImportColumn Column, int At)[] columns = [.. map.Columns.Select(column => (column, Column(reader, column.Column, file)))];
        Instant? before = null;
        while (reader.MoveNext())
        {
            Rows++;
            SepReader.Row row = reader.Current;
            string text = time < row.ColCount ? row[time].ToString().Trim() : "";
            if (Moment(text) is not { } at)
            {
                RowsWithoutTime++;
                FirstOdd = FirstOdd.Length > 0 ? FirstOdd : string.Create(CultureInfo.InvariantCulture, $"{file}:{row.LineNumberFrom}: \"{text}\" is no time of the form {map.TimeFormat}.");
                continue;
            }

            StepsBack += before > at ? 1 : 0;
            before = at;
            var values = new List<(ImportColumn Column, double Value)>();
            foreach ((ImportColumn column, int index) in columns)
            {
                string cell = index < row.ColCount ? row[index].ToString().Trim() : "";
                if (double.TryParse(map.DecimalComma ? cell.Replace(',', '.') : cell, NumberStyles.Float, CultureInfo.InvariantCulture, out double number) && double.IsFinite(number))
                {
                    values.Add((column, (number * column.Factor) + column.Offset));
                }
                else
                {
                    OddCells += cell.Length > 0 ? 1 : 0;
                }
            }

            foreach (ReportBody body in Bodies(values))
            {
                yield return new TimedReading(at, body);
            }
        }
    }

    private static LocalDateTimePattern Pattern(string format)
    {
        try
        {
            return LocalDateTimePattern.CreateWithInvariantCulture(format);
        }
        catch (InvalidPatternException wrong)
        {
            throw CommandFault.BadInput($"time.format: \"{format}\" is no pattern. {wrong.Message}", "Such as uuuu-MM-dd HH:mm:ss; or iso, or unix.");
        }
    }

    private static int Column(SepReader reader, string name, string file) => reader.Header.TryIndexOf(name, out int at)
        ? at
        : throw CommandFault.BadInput($"{file} has no column \"{name}\".", $"It has: {string.Join(", ", reader.Header.ColNames)}. Is the separator right?");

    private Instant? Moment(string text)
    {
        if (_pattern is { } pattern)
        {
            return pattern.Parse(text) is { Success: true, Value: var civil } ? civil.WithOffset(map.Zone).ToInstant() : null;
        }

        if (map.TimeFormat == "unix")
        {
            return double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double seconds) && Math.Abs(seconds) < 1e11
                ? NodaConstants.UnixEpoch + Duration.FromMilliseconds((long)Math.Round(seconds * 1000))
                : null;
        }

        return InstantPattern.ExtendedIso.Parse(text) is { Success: true, Value: var utc } ? utc
            : OffsetDateTimePattern.Rfc3339.Parse(text) is { Success: true, Value: var told } ? told.ToInstant()
            : LocalDateTimePattern.ExtendedIso.Parse(text) is { Success: true, Value: var bare } ? bare.WithOffset(map.Zone).ToInstant() : null;
    }

    private static IEnumerable<ReportBody> Bodies(List<(ImportColumn Column, double Value)> values)
    {
        foreach (var thing in values.GroupBy(value => value.Column.Item))
        {
            double? Of(ImportQuantity quantity) => thing.Where(value => value.Column.Quantity == quantity).Select(value => (double?)value.Value).FirstOrDefault();
            Celsius[] probes = [.. thing.Where(value => value.Column.Quantity == ImportQuantity.PackTemperature).Select(value => new Celsius(value.Value))];
            if (thing.Any(value => value.Column.Quantity <= ImportQuantity.PackTemperature))
            {
                yield return new BatteryReading(
                    thing.Key, Of(ImportQuantity.PackVolts) is { } volts ? new Volts(volts) : null, Of(ImportQuantity.PackAmperes) is { } amperes ? new Amperes(amperes) : null,
                    Of(ImportQuantity.PackWatts) is { } watts ? new Watts(watts) : null, Of(ImportQuantity.PackCharge) is { } charge ? new StateOfCharge(charge) : null, ValueList.Create<Celsius>(probes));
            }

            if (Of(ImportQuantity.PanelWatts) is var panel && Of(ImportQuantity.PanelEnergy) is var yield && (panel ?? yield) is not null)
            {
                yield return new PanelReading(thing.Key, null, null, panel is { } now ? new Watts(now) : null, yield is { } total ? new WattHours(total) : null);
            }

            if (Of(ImportQuantity.LoadWatts) is var load && Of(ImportQuantity.LoadEnergy) is var drawn && (load ?? drawn) is not null)
            {
                yield return new LoadReading(thing.Key, ChargeActivity.Unknown, null, load is { } power ? new Watts(power) : null, drawn is { } counter ? new WattHours(counter) : null, null);
            }

            foreach ((ImportColumn column, double celsius) in thing.Where(value => value.Column.Quantity == ImportQuantity.Temperature))
            {
                yield return new TemperatureReading(thing.Key, column.Column, new Celsius(celsius));
            }
        }
    }
}
