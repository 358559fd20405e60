using System.Collections.Frozen;

namespace KitMesh.Devices.Mapping;

/// <summary>A unit as a device or logger writes numbers in, and how such a number becomes the unit of the report.</summary>
/// <param name="Factor">Multiplies the number.</param>
/// <param name="Offset">Is added afterwards.</param>
/// <param name="Quantity">What the unit measures.</param>
/// <param name="Divisor">Divides the number: 13,280 mV over 1,000 is the double nearest to 13.28 V, times 0.001 is not.</param>
internal readonly record struct DeviceUnit(double Factor, double Offset, string Quantity, double Divisor = 1)
{
    private static readonly FrozenDictionary<string, DeviceUnit> Units = new Dictionary<string, DeviceUnit>
    {
        ["V"] = new(1, 0, "voltage"),
        ["mV"] = new(1, 0, "voltage", 1e3),
        ["uV"] = new(1, 0, "voltage", 1e6),
        ["A"] = new(1, 0, "current"),
        ["mA"] = new(1, 0, "current", 1e3),
        ["uA"] = new(1, 0, "current", 1e6),
        ["W"] = new(1, 0, "power"),
        ["mW"] = new(1, 0, "power", 1e3),
        ["uW"] = new(1, 0, "power", 1e6),
        ["kW"] = new(1e3, 0, "power"),
        ["Wh"] = new(1, 0, "energy"),
        ["kWh"] = new(1e3, 0, "energy"),
        ["J"] = new(1, 0, "energy", 3600),
        ["uJ"] = new(1, 0, "energy", 3600e6),
        ["%"] = new(1, 0, "charge", 100),
        ["fraction"] = new(1, 0, "charge"),
        ["°C"] = new(1, 0, "temperature"),
        ["C"] = new(1, 0, "temperature"),
        ["m°C"] = new(1, 0, "temperature", 1e3),
        ["K"] = new(1, -273.15, "temperature"),
        ["°F"] = new(5.0 / 9, -160.0 / 9, "temperature"),
        ["F"] = new(5.0 / 9, -160.0 / 9, "temperature"),
        ["h"] = new(1, 0, "time"),
        ["min"] = new(1, 0, "time", 60),
    }.ToFrozenDictionary(StringComparer.Ordinal);

    /// <summary>Finds a unit that suits a field.</summary>
    public static bool TryFind(string text, ReadingField field, out DeviceUnit unit) =>
        Units.TryGetValue(text, out unit) && unit.Quantity == QuantityOf(field);

    /// <summary>The units that suit a field, for messages.</summary>
    public static string For(ReadingField field) =>
        string.Join(", ", Units.Where(u => u.Value.Quantity == QuantityOf(field)).Select(u => u.Key).Order(StringComparer.Ordinal));

    /// <summary>The number in the unit of the report.</summary>
    public double Convert(double value) => (value * Factor / Divisor) + Offset;

    private static string QuantityOf(ReadingField field) => field switch
    {
        ReadingField.Volts or ReadingField.LowestCell or ReadingField.HighestCell => "voltage",
        ReadingField.Amperes => "current",
        ReadingField.Watts => "power",
        ReadingField.Charge => "charge",
        ReadingField.Temperature => "temperature",
        ReadingField.Energy => "energy",
        ReadingField.Hours => "time",
        _ => throw new InvalidOperationException("Not a field."),
    };
}
