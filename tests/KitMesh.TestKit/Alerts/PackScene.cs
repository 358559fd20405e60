using KitMesh.Alerts.Inputs;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.TestKit.Alerts;

/// <summary>A pack with readings, as short as a test wants them.</summary>
public static class PackScene
{
    /// <summary>A declared pack called "ridge bank".</summary>
    public static Pack Pack(Chemistry chemistry = Chemistry.Lfp, int series = 4, double ampereHours = 100, double? minCharge = null, double? maxCell = null) => new(
        KitId.Parse("ridge bank"),
        null,
        chemistry,
        series,
        new AmpereHours(ampereHours),
        null,
        minCharge is { } min ? new Celsius(min) : null,
        null,
        maxCell is { } cell ? new Volts(cell) : null,
        null);

    /// <summary>A reading of it.</summary>
    public static BatteryReading Reading(double? volts = null, double? amperes = null, double? watts = null, double? lowest = null, double? highest = null, params double[] probes) => new(
        KitId.Parse("ridge bank"),
        volts is { } v ? new Volts(v) : null,
        amperes is { } a ? new Amperes(a) : null,
        watts is { } w ? new Watts(w) : null,
        null,
        probes.Select(p => new Celsius(p)).ToValueList(),
        lowest is { } l ? new Volts(l) : null,
        highest is { } h ? new Volts(h) : null);

    /// <summary>The condition that rules see.</summary>
    public static PackCondition Seen(this Pack pack, BatteryReading reading, Instant at) => new(pack, reading, at);
}
