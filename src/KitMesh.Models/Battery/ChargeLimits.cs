using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

// Problem: a lithium cell charged when cold plates metal and can catch fire much later; the harm depends on the
// current as well as on the temperature, so one threshold is not enough.
// Trap: published tables differ by maker, the cell core lags behind the probe, and probes are wrong by a kelvin or two.
// Method: take the strictest published zone table per chemistry, raise its lower limit by a margin, and let a maker's
// limit only tighten it. The caller hands in the COLDEST probe (and the warmest for the upper end).
// Sources are in ChargeLimitTables, one by one.

/// <summary>The temperatures, currents and voltages at which a pack may be charged.</summary>
/// <remarks>
/// Safety: charging below the cell maker's limit ruins cells and can start a fire later. These are default tables for a
/// chemistry; the maker's data sheet decides, and a stricter one declared for the pack wins. A looser one does not:
/// the defaults are never passed.
/// </remarks>
public sealed class ChargeLimits
{
    /// <summary>How far the lower limit lies above the published one, for probe error and the lag of the cell core.</summary>
    /// <remarks>Own choice; no published source.</remarks>
    public static readonly Kelvins Margin = new(2);

    private ChargeLimits(Chemistry chemistry, ValueList<ChargeZone> zones, Celsius published, Volts? maxCell, double voltsPerKelvin, string source)
    {
        Chemistry = chemistry;
        Zones = zones;
        PublishedLower = published;
        MaxCell = maxCell;
        VoltsPerKelvin = voltsPerKelvin;
        Source = source;
    }

    /// <summary>The chemistry.</summary>
    public Chemistry Chemistry { get; }

    /// <summary>The zones in which charging is allowed, coldest first, without gaps.</summary>
    public ValueList<ChargeZone> Zones { get; }

    /// <summary>The chemistry's published lower limit, without margin.</summary>
    public Celsius PublishedLower { get; }

    /// <summary>No charge below this: published limit plus margin, or the maker's when that is stricter.</summary>
    public Celsius Lower => Zones[0].From;

    /// <summary>No charge above this.</summary>
    public Celsius Upper => Zones[^1].To;

    /// <summary>Highest cell voltage at 25 °C; null when the chemistry is unknown, so that a voltage cannot be judged.</summary>
    public Volts? MaxCell { get; }

    /// <summary>Where the table comes from.</summary>
    public string Source { get; }

    private double VoltsPerKelvin { get; }

    /// <summary>The default limits of a chemistry.</summary>
    /// <param name="chemistry">The chemistry; unknown gets the strictest table.</param>
    public static ChargeLimits For(Chemistry chemistry)
    {
        ChargeLimitTable table = ChargeLimitTable.For(chemistry);
        return new ChargeLimits(
            chemistry,
            Clip(table.Zones, table.PublishedLower + Margin, table.PublishedUpper),
            table.PublishedLower,
            table.MaxCell,
            table.VoltsPerKelvin,
            table.Source);
    }

    /// <summary>The limits of one pack: its chemistry's, tightened by what its maker says.</summary>
    /// <param name="pack">The pack.</param>
    /// <remarks>A maker's window that leaves nothing of the default window gives an empty one: it may never charge.</remarks>
    public static ChargeLimits For(Pack pack)
    {
        ArgumentNullException.ThrowIfNull(pack);
        ChargeLimits basis = For(pack.Chemistry);
        Celsius lower = Stricter(basis.Lower, pack.MinChargeTemperature, coldest: true);
        Celsius upper = Stricter(basis.Upper, pack.MaxChargeTemperature, coldest: false);
        Volts? cell = (basis.MaxCell, pack.MaxCellVolts) switch
        {
            ({ } table, { } maker) => table < maker ? table : maker,
            (null, var maker) => maker,
            (var table, null) => table,
        };
        return new ChargeLimits(pack.Chemistry, Clip(basis.Zones, lower, upper), basis.PublishedLower, cell, basis.VoltsPerKelvin, basis.Source);
    }

    /// <summary>The strictest of several packs' limits, as a bank of mixed packs needs it.</summary>
    /// <param name="packs">The packs; none gives the limits of an unknown chemistry.</param>
    public static ChargeLimits ForAll(IEnumerable<Pack> packs)
    {
        ArgumentNullException.ThrowIfNull(packs);
        ChargeLimits? all = null;
        foreach (Pack pack in packs)
        {
            ChargeLimits next = For(pack);
            all = all is null ? next : Meet(all, next);
        }

        return all ?? For(Chemistry.Unknown);
    }

    /// <summary>Highest C-rate at a temperature; 0 where charging is not allowed or the temperature is not a number.</summary>
    /// <param name="coldest">The coldest probe on the cells.</param>
    public double MaxRate(Celsius coldest)
    {
        ReadOnlySpan<ChargeZone> zones = Zones.AsSpan();
        for (int i = 0; i < zones.Length; i++)
        {
            bool last = i == zones.Length - 1;
            if (coldest >= zones[i].From && (coldest < zones[i].To || (last && coldest <= zones[i].To)))
            {
                return zones[i].MaxRate;
            }
        }

        return 0;
    }

    /// <summary>Highest charge current for the coldest and the warmest probe together: the stricter of both.</summary>
    /// <param name="coldest">The coldest probe.</param>
    /// <param name="warmest">The warmest probe.</param>
    /// <param name="capacity">Rated charge of the pack.</param>
    public Amperes MaxCurrent(Celsius coldest, Celsius warmest, AmpereHours capacity) =>
        new(Math.Min(MaxRate(coldest), MaxRate(warmest)) * capacity.Value);

    /// <summary>Whether any charge current is allowed at this temperature.</summary>
    /// <param name="temperature">A probe.</param>
    public bool MayCharge(Celsius temperature) => MaxRate(temperature) > 0;

    /// <summary>Highest voltage of a pack while charging; null when the chemistry is unknown.</summary>
    /// <param name="series">Cells in series.</param>
    /// <param name="temperature">Cell temperature; lead-acid is charged to less when hot and to more when cold.</param>
    public Volts? MaxPackVolts(int series, Celsius temperature)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(series, 1);
        return MaxCell is { } cell
            ? new Volts(series * (cell.Value + (VoltsPerKelvin * (Math.Clamp(temperature.Value, Lower.Value, Upper.Value) - 25))))
            : null;
    }

    private static Celsius Stricter(Celsius table, Celsius? maker, bool coldest) =>
        maker is not { IsPhysical: true } limit ? table : coldest ? (limit > table ? limit : table) : (limit < table ? limit : table);

    private static ChargeLimits Meet(ChargeLimits a, ChargeLimits b)
    {
        Celsius lower = a.Lower > b.Lower ? a.Lower : b.Lower;
        Celsius upper = a.Upper < b.Upper ? a.Upper : b.Upper;
        IEnumerable<ChargeZone> cut =
            from left in a.Zones
            from right in b.Zones
            let zone = new ChargeZone(
                left.From > right.From ? left.From : right.From,
                left.To < right.To ? left.To : right.To,
                Math.Min(left.MaxRate, right.MaxRate))
            where zone.From < zone.To
            orderby zone.From.Value
            select zone;
        Volts? cell = a.MaxCell is { } x && b.MaxCell is { } y ? (x < y ? x : y) : null;
        Chemistry chemistry = a.Chemistry == b.Chemistry ? a.Chemistry : Chemistry.Unknown;
        string source = a.Source == b.Source ? a.Source : $"{a.Source}; {b.Source}";
        return new ChargeLimits(
            chemistry,
            Clip(cut.ToValueList(), lower, upper),
            a.PublishedLower > b.PublishedLower ? a.PublishedLower : b.PublishedLower,
            chemistry == Chemistry.Unknown ? null : cell,
            Math.Min(a.VoltsPerKelvin, b.VoltsPerKelvin),
            source);
    }

    private static ValueList<ChargeZone> Clip(ValueList<ChargeZone> zones, Celsius lower, Celsius upper)
    {
        var kept = new List<ChargeZone>(zones.Count);
        foreach (ChargeZone zone in zones)
        {
            Celsius from = zone.From > lower ? zone.From : lower;
            Celsius to = zone.To < upper ? zone.To : upper;
            if (from < to)
            {
                kept.Add(new ChargeZone(from, to, zone.MaxRate));
            }
        }

        // An impossible window stays visible as one empty zone, so that Lower and Upper still say which limits clash.
        return kept.Count > 0 ? kept.ToValueList() : [new ChargeZone(lower, upper, 0)];
    }
}
