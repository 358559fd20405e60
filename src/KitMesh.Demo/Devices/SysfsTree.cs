using System.Globalization;
using KitMesh.Demo.Power;
using KitMesh.Domain.Reports;

namespace KitMesh.Demo.Devices;

/// <summary>
/// A folder that looks like the parts of Linux' sysfs that the power agent reads: the station's own battery under
/// class/power_supply, the air outside as hwmon0, two 1-Wire thermometers on the cells.
/// </summary>
/// <remarks>
/// Formats: kernel documentation, "sysfs-class-power", "hwmon sysfs interface", "w1_therm" (micro-units for power supplies,
/// thousandths of a degree for thermometers, nine scratchpad bytes with their CRC for 1-Wire). Files are written beside and
/// moved over, so that nobody reads half of one.
/// </remarks>
public sealed class SysfsTree
{
    /// <summary>Name of the thermometer that lies between the cells.</summary>
    public const string InnerProbe = "28-00000a1b2c01";

    /// <summary>Name of the thermometer on the outermost cell, which is colder.</summary>
    public const string OuterProbe = "28-00000a1b2c02";

    private readonly string _root;

    /// <summary>Makes the folders.</summary>
    /// <param name="root">Where.</param>
    public SysfsTree(string root)
    {
        _root = root;
        foreach (string folder in (string[])["class/power_supply/station", "class/hwmon/hwmon0", $"bus/w1/devices/{InnerProbe}", $"bus/w1/devices/{OuterProbe}"])
        {
            Directory.CreateDirectory(Path.Combine(root, folder));
        }

        Put("class/power_supply/station/type", "Battery");
        Put("class/hwmon/hwmon0/name", "outside");
        Put("class/hwmon/hwmon0/temp1_label", "air");
    }

    /// <summary>The top folder, in the place of /sys.</summary>
    public string Root => _root;

    /// <summary>Folder of the thermometer on the outermost cell.</summary>
    public string OuterProbeFolder => Path.Combine(_root, "bus/w1/devices", OuterProbe);

    /// <summary>Writes the values of the moment.</summary>
    /// <param name="bank">The bank in whose box the thermometers are.</param>
    /// <param name="station">The station, whose battery is shown.</param>
    public void Write(BankTruth bank, LoadTruth station)
    {
        double charge = station.OwnCharge ?? 1;
        double volts = 10.5 + (2.1 * charge);
        Put("class/power_supply/station/status", station.Activity switch
        {
            ChargeActivity.Charging => "Charging",
            ChargeActivity.Full => "Full",
            _ => "Discharging",
        });
        Put("class/power_supply/station/present", "1");
        Put("class/power_supply/station/capacity", Whole(charge * 100));
        Put("class/power_supply/station/voltage_now", Whole(volts * 1e6));
        Put("class/power_supply/station/current_now", Whole(station.Watts / volts * 1e6));
        Put("class/power_supply/station/power_now", Whole(station.Watts * 1e6));
        Put("class/hwmon/hwmon0/temp1_input", Whole(bank.AirCelsius * 1000));
        PutThermometer(InnerProbe, bank.CellCelsius);
        PutThermometer(OuterProbe, bank.CellCelsius - (0.04 * (bank.CellCelsius - bank.AirCelsius)));
    }

    internal static byte Crc8(ReadOnlySpan<byte> bytes)
    {
        // Dallas/Maxim CRC-8: x^8 + x^5 + x^4 + 1, reflected (0x8C), start 0.
        byte crc = 0;
        foreach (byte value in bytes)
        {
            byte bits = value;
            for (int i = 0; i < 8; i++)
            {
                bool mix = ((crc ^ bits) & 1) != 0;
                crc = (byte)((crc >> 1) ^ (mix ? 0x8C : 0));
                bits >>= 1;
            }
        }

        return crc;
    }

    private static string Whole(double value) => ((long)Math.Round(value)).ToString(CultureInfo.InvariantCulture);

    private void PutThermometer(string name, double celsius)
    {
        short raw = (short)Math.Round(celsius * 16);
        byte[] scratchpad = [(byte)(raw & 0xFF), (byte)((raw >> 8) & 0xFF), 0x4B, 0x46, 0x7F, 0xFF, 0x0C, 0x10, 0];
        scratchpad[8] = Crc8(scratchpad.AsSpan(0, 8));
        string hex = string.Join(' ', scratchpad.Select(value => value.ToString("x2", CultureInfo.InvariantCulture)));
        int thousandths = (int)(raw * 1000L / 16);
        Put(
            $"bus/w1/devices/{name}/w1_slave",
            string.Create(CultureInfo.InvariantCulture, $"{hex} : crc={scratchpad[8]:x2} YES\n{hex} t={thousandths}"));
        Put($"bus/w1/devices/{name}/temperature", thousandths.ToString(CultureInfo.InvariantCulture));
    }

    private void Put(string name, string text)
    {
        string path = Path.Combine(_root, name);
        string beside = path + ".new";
        File.WriteAllText(beside, text + "\n");
        File.Move(beside, path, overwrite: true);
    }
}
