namespace KitMesh.TripFile.Keys;

/// <summary>The units that one quantity may be written in; the first is the one values are kept in.</summary>
internal sealed class UnitFamily
{
    public static readonly UnitFamily Power = new("a power", ("W", 1), ("kW", 1000));
    public static readonly UnitFamily Energy = new("an energy", ("Wh", 1), ("kWh", 1000));
    public static readonly UnitFamily Charge = new("a charge", ("Ah", 1), ("mAh", 0.001));
    public static readonly UnitFamily Voltage = new("a voltage", ("V", 1), ("mV", 0.001));
    public static readonly UnitFamily Current = new("a current", ("A", 1), ("mA", 0.001));
    public static readonly UnitFamily Resistance = new("a resistance", ("ohm", 1), ("mohm", 0.001));
    public static readonly UnitFamily Temperature = new("a temperature", ("°C", 1), ("C", 1));
    public static readonly UnitFamily Height = new("a height", ("m", 1), ("km", 1000));
    public static readonly UnitFamily Angle = new("an angle", ("deg", 1), ("°", 1));
    public static readonly UnitFamily HeatLoss = new("a heat loss", ("W/K", 1));
    public static readonly UnitFamily HeatCapacity = new("a heat capacity", ("J/K", 1), ("kJ/K", 1000), ("Wh/K", 3600));
    public static readonly UnitFamily Mass = new("a mass", ("kg", 1), ("g", 0.001));
    public static readonly UnitFamily Size = new("a size", ("GB", 1e9), ("TB", 1e12), ("MB", 1e6));
    public static readonly UnitFamily SizePerDay = new("a size a day", ("GB/d", 1), ("MB/d", 0.001), ("TB/d", 1000));
    public static readonly UnitFamily Span = new("a length of time", ("h", 1), ("d", 24), ("min", 1.0 / 60));
    public static readonly UnitFamily Percent = new("a percentage", ("%", 1));

    private static readonly UnitFamily[] All =
    [
        Power, Energy, Charge, Voltage, Current, Resistance, Temperature, Height, Angle, HeatLoss, HeatCapacity, Mass, Size, SizePerDay,
        Span, Percent,
    ];

    private readonly (string Unit, double Factor)[] _units;

    private UnitFamily(string words, params (string Unit, double Factor)[] units)
    {
        Words = words;
        _units = units;
    }

    /// <summary>What it is, with its article.</summary>
    public string Words { get; }

    /// <summary>The unit that examples use.</summary>
    public string Unit => _units[0].Unit;

    /// <summary>All units that are understood.</summary>
    public IEnumerable<string> Units => _units.Select(unit => unit.Unit);

    /// <summary>How many base values one of the example unit is (sizes are kept in bytes, all else in its first unit).</summary>
    public double UnitFactor => _units[0].Factor;

    /// <summary>The factor of a unit; null when it is none of this family's.</summary>
    public double? FactorOf(string unit)
    {
        foreach ((string known, double factor) in _units)
        {
            if (known == unit)
            {
                return factor;
            }
        }

        return null;
    }

    /// <summary>The family that a unit belongs to; null when no family has it.</summary>
    public static UnitFamily? Of(string unit) => Array.Find(All, family => family.FactorOf(unit) is not null);
}
