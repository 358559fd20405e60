using KitMesh.Devices.PowerController;
using KitMesh.Devices.Sysfs;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.PowerSupply;

// Problem: the class has many attributes and any may be absent; the current's sign differs between drivers.
// Trap: the ABI says negative discharges, many drivers give a magnitude; "status" can be Unknown; a fuel gauge with an
// error margin of 100 % knows nothing.
// Method: by default the status gives the direction and the file only the size; a status that gives none leaves a
// current other than zero out.
// Source: Linux kernel, Documentation/ABI/testing/sysfs-class-power and Documentation/power/power_supply_class.rst.

/// <summary>One look at a <c>power_supply</c> folder, in volts, amperes (positive charges), watts, fractions and °C.</summary>
internal sealed record PowerSupplySnapshot(
    double? Volts,
    double? Amperes,
    double? Watts,
    double? Charge,
    double? Temperature,
    ChargeActivity Activity,
    IReadOnlyList<string> Complaints)
{
    public static PowerSupplySnapshot Read(string folder, CurrentSign sign)
    {
        var complaints = new List<string>();
        string status = SysfsFile.Read(folder, "status") is SysfsFile.Text text ? text.Value : "";
        double? Number(string name)
        {
            double? value = SysfsFile.Number(folder, name, out string? complaint);
            if (complaint is not null)
            {
                complaints.Add(complaint);
            }

            return value;
        }

        double? current = Number("current_now") / 1e6;
        double? power = Number("power_now") / 1e6;
        return new(
            Number("voltage_now") / 1e6,
            Direct(current, sign, status),
            Direct(power, sign, status),
            Fraction(Number),
            Number("temp") / 10,
            ActivityOf(status),
            complaints);
    }

    private static double? Direct(double? value, CurrentSign sign, string status) => (value, sign, status) switch
    {
        (null, _, _) => null,
        (0, _, _) => 0,
        ({ } v, CurrentSign.ChargePositive, _) => v,
        ({ } v, CurrentSign.DischargePositive, _) => -v,
        ({ } v, _, "Charging") => Math.Abs(v),
        ({ } v, _, "Discharging") => -Math.Abs(v),
        _ => null,
    };

    private static double? Fraction(Func<string, double?> number)
    {
        if (number("capacity_error_margin") is >= 100)
        {
            return null;
        }

        double? fraction = (number("charge_now") / number("charge_full"))
            ?? (number("energy_now") / number("energy_full"))
            ?? (number("capacity") / 100);
        return fraction is { } finite && double.IsFinite(finite) ? finite : null;
    }

    private static ChargeActivity ActivityOf(string status) => status switch
    {
        "Charging" => ChargeActivity.Charging,
        "Discharging" => ChargeActivity.Discharging,
        "Full" => ChargeActivity.Full,
        "Not charging" => ChargeActivity.PluggedNotCharging,
        _ => ChargeActivity.Unknown,
    };
}
