using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Energy;

// Problem: readings come late, wrong and twice; the outlook must use what can be believed and say what it left out.
// Trap: a stuck thermometer looks like a very well held box; a device whose own watts disagree with its volts and amperes has one liar among three.
// Method: keep every reading, ask simple questions of the series (does it repeat itself for too long, do V A and W agree), and let the answers widen.

/// <summary>Readings by thing, in order of time, with doubts.</summary>
internal sealed class ReadingBook
{
    private static readonly Duration StuckAfter = Duration.FromHours(18);
    private const int StuckReadings = 24;
    private const double DryCharge = 0.06;

    private readonly ILookup<KitId, (Instant Time, BatteryReading Body)> _battery;
    private readonly ILookup<KitId, (Instant Time, PanelReading Body)> _panel;
    private readonly ILookup<KitId, (Instant Time, LoadReading Body)> _load;
    private readonly ILookup<KitId, (Instant Time, TemperatureReading Body)> _temperature;

    internal ReadingBook(ValueList<TimedReading> readings, Instant now)
    {
        TimedReading[] sorted = [.. readings.Where(reading => reading.Time <= now).OrderBy(reading => reading.Time)];
        _battery = Of<BatteryReading>(sorted, body => body.Pack);
        _panel = Of<PanelReading>(sorted, body => body.Panel);
        _load = Of<LoadReading>(sorted, body => body.Load);
        _temperature = Of<TemperatureReading>(sorted, body => body.Subject);
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
    internal static bool Contradicts(BatteryReading body)
    {
        if (body is not { Volts: { } volts, Amperes: { } amperes, Watts: { } watts })
        {
            return false;
        }

        double product = volts.Value * amperes.Value;
        return Math.Abs(product - watts.Value) > 3 + (0.15 * Math.Max(Math.Abs(product), Math.Abs(watts.Value)));
    }

    /// <summary>Whether a series of temperatures has repeated itself to the last digit for too long to be true.</summary>
    internal static bool IsStuck(IReadOnlyList<(Instant Time, Celsius Value)> series)
    {
        if (series.Count < StuckReadings)
        {
            return false;
        }

        (Instant Time, Celsius Value) last = series[^1];
        int same = 0;
        int i = series.Count - 1;
        while (i >= 0 && series[i].Value == last.Value)
        {
            same++;
            i--;
        }

        return same >= StuckReadings && last.Time - series[i + 1].Time >= StuckAfter;
    }

    private static ILookup<KitId, (Instant Time, T Body)> Of<T>(TimedReading[] sorted, Func<T, KitId> subject)
        where T : ReportBody =>
        sorted
            .Where(reading => reading.Body is T)
            .Select(reading => (reading.Time, Body: (T)reading.Body))
            .ToLookup(reading => subject(reading.Body));
}
