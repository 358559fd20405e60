using System.Collections.Frozen;

namespace KitMesh.Devices.Mapping;

/// <summary>A unit as a device or logger writes numbers in, and how such a number becomes the unit of the report.</summary>
/// <param name="Factor">Multiplies the number.</param>
/// <param name="Offset">Is added afterwards.</param>
/// <param name="Quantity">What the unit measures.</param>
internal readonly record struct DeviceUnit(double Factor, double Offset, string Quantity)
{
    private static readonly FrozenDictionary<string, DeviceUnit> Units = new Dictionary<string, DeviceUnit>
    {
        ["V"] = new(1, 0, "voltage"),
        ["mV"] = new(1e-3, 0, "voltage"),
        ["uV"] = new(1e-6, 0, "voltage"),
        ["A"] = new(1, 0, "current"),
        ["mA"] = new(1e-3, 0, "current"),
        ["uA"] = new(1e-6, 0, "current"),
        ["W"] = new(1, 0, "power"),
        ["mW"] = new(1e-3, 0, "power"),
        ["uW"] = new(1e-6, 0, "power"),
        ["kW"] = new(1e3, 0, "power"),
        ["Wh"] = new(1, 0, "energy"),
        ["kWh"] = new(1e3, 0, "energy"),
        ["J"] = new(1.0 / 3600, 0, "energy"),
        ["uJ"] = new(1e-6 / 3600, 0, "energy"),
        ["%"] = new(0.01, 0, "charge"),
        ["fraction"] = new(1, 0, "charge"),
        ["°C"] = new(1, 0, "temperature"),
        ["C"] = new(1, 0, "temperature"),
        ["m°C"] = new(1e-3, 0, "temperature"),
        ["K"] = new(1, -273.15, "temperature"),
        ["°F"] = new(5.0 / 9, -160.0 / 9, "temperature"),
        ["F"] = new(5.0 / 9, -160.0 / 9, "temperature"),
        ["h"] = new(1, 0, "time"),
        ["min"] = new(1.0 / 60, 0, "time"),
    }.ToFrozenDictionary(StringComparer.Ordinal);

    /// <summary>Finds a unit that suits a field.</summary>
    public static bool TryFind(string text, ReadingField field, out DeviceUnit unit) =>
        Units.TryGetValue(text, out unit) && unit.Quantity == QuantityOf(field);

    /// <summary>The units that suit a field, for messages.</summary>
    public static string For(ReadingField field) =>
        string.Join(", ", Units.Where(u => u.Value.Quantity == QuantityOf(field)).Select(u => u.Key).Order(StringComparer.Ordinal));

    /// <summary>The number in the unit of the report.</summary>
    public double Convert(double value) => (value * Factor) + Offset;

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
