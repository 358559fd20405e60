using KitMesh.Agent.Options;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Agent.Outbox;

/// <summary>Lets a reading through when a value moved far enough, appeared or vanished, or when it was silent for too long.</summary>
/// <remarks>
/// Each field is compared with what was reported last, not with what was read last: a slow drift gets through. Everything
/// that is no reading passes. Times come from the monotonic clock, so that a clock that is set does not silence anything.
/// </remarks>
internal sealed class Deadbands(DeadbandOptions options)
{
    // Bounded: one entry a kit item and sensor; a device that invents names gets past the deadband, not into memory.
    private const int MostSubjects = 10_000;

    private readonly Dictionary<(ReportKind Kind, KitId Subject, string Sensor), (ReportBody Body, Duration At)> _last = [];

    /// <summary>Whether the sample is worth a report.</summary>
    /// <param name="body">What was read.</param>
    /// <param name="monotonic">Monotonic time of this boot.</param>
    public bool Passes(ReportBody body, Duration monotonic)
    {
        if (KeyOf(body) is not { } key)
        {
            return true;
        }

        if (_last.TryGetValue(key, out (ReportBody Body, Duration At) last)
            && monotonic - last.At < Duration.FromTimeSpan(options.Longest)
            && !Moved(last.Body, body))
        {
            return false;
        }

        Remember(body, monotonic);
        return true;
    }

    /// <summary>Notes that a sample was reported for another reason than having moved.</summary>
    public void Remember(ReportBody body, Duration monotonic)
    {
        if (KeyOf(body) is { } key && (_last.Count < MostSubjects || _last.ContainsKey(key)))
        {
            _last[key] = (body, monotonic);
        }
    }

    private static (ReportKind Kind, KitId Subject, string Sensor)? KeyOf(ReportBody body) => body switch
    {
        // What a person typed or marked is an event, however little it differs.
        BatteryReading { Source: ReadingSource.Typed } or PanelReading { Source: ReadingSource.Typed } => null,
        LoadReading { Source: ReadingSource.Typed } or TemperatureReading { Source: ReadingSource.Typed } => null,
        BatteryReading b => (b.Kind, b.Pack, ""),
        PanelReading p => (p.Kind, p.Panel, ""),
        LoadReading l => (l.Kind, l.Load, ""),
        TemperatureReading t => (t.Kind, t.Subject, t.Sensor),
        _ => null,
    };

    private bool Moved(ReportBody before, ReportBody now) => (before, now) switch
    {
        (BatteryReading a, BatteryReading b) =>
            Moved(a.Volts, b.Volts, options.Volts) || Moved(a.Amperes, b.Amperes, options.Amperes) || Moved(a.Watts, b.Watts, options.Watts)
            || Moved(a.Charge, b.Charge) || Moved(a.LowestCell, b.LowestCell, options.Volts) || Moved(a.HighestCell, b.HighestCell, options.Volts)
            || Moved(a.Probes, b.Probes) || a.Rested != b.Rested,
        (PanelReading a, PanelReading b) =>
            Moved(a.Volts, b.Volts, options.Volts * 10) || Moved(a.Amperes, b.Amperes, options.Amperes) || Moved(a.Watts, b.Watts, options.Watts)
            || Moved(a.YieldTotal, b.YieldTotal, options.Energy) || a.SunHours != b.SunHours,
        (LoadReading a, LoadReading b) =>
            a.Activity != b.Activity || Moved(a.Charge, b.Charge) || Moved(a.Watts, b.Watts, options.Watts)
            || Moved(a.EnergyTotal, b.EnergyTotal, options.Energy) || Moved(a.Temperature, b.Temperature),
        (TemperatureReading a, TemperatureReading b) => Moved(a.Temperature, b.Temperature),
        _ => true,
    };

    private static bool Moved<T>(T? before, T? now, T band)
        where T : struct, IQuantity<T> =>
        (before, now) switch
        {
            (null, null) => false,
            ({ } a, { } b) => !(Math.Abs(a.Value - b.Value) < band.Value) && !a.Value.Equals(b.Value),
            _ => true,
        };

    private bool Moved(StateOfCharge? before, StateOfCharge? now) => (before, now) switch
    {
        (null, null) => false,
        ({ } a, { } b) => !(Math.Abs(a.Value - b.Value) < options.Charge) && !a.Value.Equals(b.Value),
        _ => true,
    };

    private bool Moved(Celsius? before, Celsius? now) => (before, now) switch
    {
        (null, null) => false,
        ({ } a, { } b) => Moved(a, b),
        _ => true,
    };

    private bool Moved(Celsius before, Celsius now) => !(Math.Abs(before.Value - now.Value) < options.Temperature.Value) && !before.Value.Equals(now.Value);

    private bool Moved(ValueList<Celsius> before, ValueList<Celsius> now) =>
        before.Count != now.Count || before.Zip(now).Any(pair => Moved(pair.First, pair.Second));
}
