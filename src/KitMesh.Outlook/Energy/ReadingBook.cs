using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Energy;

// Problem: readings come late, wrong and twice; the outlook must use what can be believed and say what it left out.
// Trap: a stuck thermometer looks like a very well held box; a device whose own watts disagree with its volts and amperes has one liar among three; a panel that gives
// the same power by day and by night is a frozen display.
// Method: keep every reading, ask simple questions of the series (does it repeat itself for too long, do V A and W agree), leave out what cannot be believed, name it, and let the
// answers widen.

/// <summary>Readings by thing, in order of time, with doubts.</summary>
internal sealed class ReadingBook
{
    private const double DryCharge = 0.06;

    private readonly ILookup<KitId, (Instant Time, BatteryReading Body)> _battery;
    private readonly ILookup<KitId, (Instant Time, PanelReading Body)> _panel;
    private readonly ILookup<KitId, (Instant Time, LoadReading Body)> _load;
    private readonly ILookup<KitId, (Instant Time, TemperatureReading Body)> _temperature;
    private readonly HashSet<KitId> _hung = [];
    private readonly HashSet<KitId> _contradicting = [];

    internal ReadingBook(ValueList<TimedReading> readings, Instant now)
    {
        TimedReading[] sorted = [.. readings.Where(reading => reading.Time <= now).OrderBy(reading => reading.Time)];
        _battery = Of<BatteryReading>(sorted, body => body.Pack);
        _panel = Of<PanelReading>(sorted, body => body.Panel).SelectMany(Believed).ToLookup(reading => reading.Body.Panel);
        _load = Of<LoadReading>(sorted, body => body.Load);
        _temperature = Of<TemperatureReading>(sorted, body => body.Subject)
            .SelectMany(subject => subject.GroupBy(reading => reading.Body.Sensor)).SelectMany(Believed).OrderBy(reading => reading.Time).ToLookup(reading => reading.Body.Subject);
        Any = sorted.Length > 0;
        First = Any ? sorted[0].Time : now;
    }

    internal bool Any { get; }

    internal Instant First { get; }

    internal IEnumerable<(Instant Time, BatteryReading Body)> Battery(KitId pack) => _battery[pack];

    internal IEnumerable<(Instant Time, PanelReading Body)> Panel(KitId panel) => _panel[panel];

    internal IEnumerable<(Instant Time, LoadReading Body)> Load(KitId load) => _load[load];

    internal IEnumerable<(Instant Time, TemperatureReading Body)> Temperature(KitId subject) => _temperature[subject];

    /// <summary>Every reading of a bank: of itself and of its packs, in order.</summary>
    internal IReadOnlyList<(Instant Time, BatteryReading Body)> Battery(Bank bank, IEnumerable<Pack> packs) =>
        [.. packs.Select(pack => pack.Id).Append(bank.Id).Distinct().SelectMany(Battery).OrderBy(reading => reading.Time)];

    /// <summary>Days on which a bank was all but empty: what its loads took then is less than what they wanted.</summary>
    internal IReadOnlySet<LocalDate> DryDays(Bank bank, IEnumerable<Pack> packs, Offset zone) =>
        Battery(bank, packs).Where(reading => reading.Body.Charge is { Value: < DryCharge }).Select(reading => reading.Time.WithOffset(zone).Date).ToHashSet();

    /// <summary>Whether volts times amperes and the device's own watts tell different stories.</summary>
    internal static bool Contradicts(BatteryReading body) => Disagree(body.Volts?.Value * body.Amperes?.Value, body.Watts?.Value);

    /// <summary>Whether the same of a panel: its input's volts, amperes and watts.</summary>
    internal static bool Contradicts(PanelReading body) => Disagree(body.Volts?.Value * body.Amperes?.Value, body.Watts?.Value);

    /// <summary>Whether a thermometer or panel of this thing repeats itself; what it said since is left out.</summary>
    internal bool Hangs(KitId thing) => _hung.Contains(thing);

    /// <summary>Whether a panel's readings disagree with themselves; those are left out.</summary>
    internal bool Contradicts(KitId panel) => _contradicting.Contains(panel);

    private IEnumerable<(Instant Time, PanelReading Body)> Believed(IGrouping<KitId, (Instant Time, PanelReading Body)> panel)
    {
        // Nights of true zeros are no fault: only a power that stands still while there is one.
        (Instant Time, PanelReading Body)[] series = [.. panel];
        int believed = HungSensors.Believed(series, (a, b) => Power(b) > 0 && Power(a) == Power(b));
        Note(_hung, panel.Key, believed < series.Length);
        Note(_contradicting, panel.Key, series.Any(reading => Contradicts(reading.Body)));
        return series.Take(believed).Where(reading => !Contradicts(reading.Body));
    }

    private IEnumerable<(Instant Time, TemperatureReading Body)> Believed(IGrouping<string, (Instant Time, TemperatureReading Body)> sensor)
    {
        (Instant Time, TemperatureReading Body)[] series = [.. sensor];
        int believed = HungSensors.Believed(series, (a, b) => a.Temperature == b.Temperature);
        Note(_hung, series[0].Body.Subject, believed < series.Length);
        return series.Take(believed);
    }

    private static bool Disagree(double? product, double? watts) =>
        product is { } a && watts is { } b && Math.Abs(a - b) > 3 + (0.15 * Math.Max(Math.Abs(a), Math.Abs(b)));

    private static double? Power(PanelReading body) =>
        body.Watts?.Value ?? (body is { Volts: { } volts, Amperes: { } amperes } ? volts.Value * amperes.Value : null);

    private static void Note(HashSet<KitId> where, KitId thing, bool isSo)
    {
        if (isSo)
        {
            where.Add(thing);
        }
    }

    private static ILookup<KitId, (Instant Time, T Body)> Of<T>(TimedReading[] sorted, Func<T, KitId> subject)
        where T : ReportBody =>
        sorted
            .Where(reading => reading.Body is T)
            .Select(reading => (reading.Time, Body: (T)reading.Body))
            .ToLookup(reading => subject(reading.Body));
}
