using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Alerts.Inputs;

// Problem: the current of a pack comes from its controller, its temperature from a thermometer on another bus; the rule
// that matters most needs both.
// Trap: a value that is put together from old parts is no measurement; a thermometer that died leaves its last value.
// Method: each part is kept with its own time and used only while it is fresh; probes are held against the newest reading.

/// <summary>The newest values of one pack or bank, put together from all devices that read it. Immutable.</summary>
public sealed class PackPicture
{
    /// <summary>A part that is older is not used: three times the default of the longest silence under deadbands.</summary>
    public static readonly Duration Fresh = Duration.FromMinutes(30);

    /// <summary>Fewer equal readings in a row say nothing about a stuck thermometer.</summary>
    public const int LeastRepeats = 12;

    private readonly KitId _pack;
    private readonly Part<Volts> _volts;
    private readonly Part<Amperes> _amperes;
    private readonly Part<Watts> _watts;
    private readonly Part<StateOfCharge> _charge;
    private readonly Part<Volts> _lowest;
    private readonly Part<Volts> _highest;
    private readonly ValueList<Celsius> _probes;
    private readonly Instant _probesAt;
    private readonly Instant _probesSince;
    private readonly int _probeRepeats;
    private readonly Instant _first;
    private readonly Instant _last;

    private PackPicture(PackPicture? before, BatteryReading reading, Instant at)
    {
        _pack = reading.Pack;
        _first = before?._first ?? at;
        _last = at;
        _volts = Part<Volts>.Newer(before?._volts, reading.Volts, at);
        _amperes = Part<Amperes>.Newer(before?._amperes, reading.Amperes, at);
        _watts = Part<Watts>.Newer(before?._watts, reading.Watts, at);
        _charge = Part<StateOfCharge>.Newer(before?._charge, reading.Charge, at);
        _lowest = Part<Volts>.Newer(before?._lowest, reading.LowestCell, at);
        _highest = Part<Volts>.Newer(before?._highest, reading.HighestCell, at);
        bool hasProbes = reading.Probes.Any(p => p.IsPhysical);
        bool repeats = hasProbes && before is not null && before._probes.Equals(reading.Probes);
        _probes = hasProbes ? reading.Probes : before?._probes ?? [];
        _probesAt = hasProbes ? at : before?._probesAt ?? Instant.MinValue;
        _probesSince = !hasProbes || repeats ? before?._probesSince ?? at : at;
        _probeRepeats = !hasProbes ? before?._probeRepeats ?? 0 : repeats ? before!._probeRepeats + 1 : 1;
    }

    /// <summary>The picture after the first reading.</summary>
    /// <param name="reading">The reading.</param>
    /// <param name="at">When it was taken.</param>
    public static PackPicture From(BatteryReading reading, Instant at) => new(null, reading, at);

    /// <summary>The picture after one more reading of the same pack. Readings come in the order of their time.</summary>
    /// <param name="reading">The reading.</param>
    /// <param name="at">When it was taken.</param>
    public PackPicture With(BatteryReading reading, Instant at)
    {
        if (reading.Pack != _pack)
        {
            throw new ArgumentException($"A reading of {reading.Pack} does not belong to {_pack}.", nameof(reading));
        }

        return new PackPicture(this, reading, at < _last ? _last : at);
    }

    /// <summary>What rules look at.</summary>
    /// <param name="declared">The pack as declared.</param>
    /// <param name="now">World time.</param>
    public PackCondition At(Pack declared, Instant now)
    {
        // Readings may arrive late, all of them; whether a thermometer fell silent shows against the pack's other readings.
        bool probesFresh = _probes.Count > 0 && _last - _probesAt <= Fresh && now - _probesAt <= Fresh + Fresh;
        var reading = new BatteryReading(
            _pack,
            _volts.Use(now),
            _amperes.Use(now),
            _watts.Use(now),
            _charge.Use(now),
            probesFresh ? _probes : [],
            _lowest.Use(now),
            _highest.Use(now));
        return new PackCondition(
            declared,
            reading,
            _last,
            WithoutProbeSince: probesFresh ? null : _probes.Count > 0 ? _probesAt : _first,
            ProbesUnchangedSince: probesFresh && _probeRepeats >= LeastRepeats ? _probesSince : null);
    }

    private readonly record struct Part<T>(T? Value, Instant At)
        where T : struct
    {
        public static Part<T> Newer(Part<T>? before, T? value, Instant at) => value is not null ? new(value, at) : before ?? default;

        public T? Use(Instant now) => now - At <= Fresh ? Value : null;
    }
}
