using System.Globalization;
using KitMesh.Devices.Mapping;
using KitMesh.Devices.Sysfs;

namespace KitMesh.Devices.Iio;

// Source: Linux kernel, Documentation/ABI/testing/sysfs-bus-iio: (raw + offset) * scale gives millivolts, milliamperes,
// MILLIwatts and millidegrees. hwmon counts power in microwatts: the trap. Scale and offset may be per channel or
// shared by all channels of the kind.

/// <summary>One channel of an IIO device.</summary>
/// <param name="Name">Its name without prefix and suffix, such as <c>voltage0</c>.</param>
/// <param name="Unit">The unit after scaling.</param>
/// <param name="Meaning">What it stands for.</param>
internal sealed record IioChannel(string Name, DeviceUnit Unit, Meaning Meaning) : IChipSensor
{
    /// <summary>Reads the channel: the processed value where the driver has one, else raw, offset and scale.</summary>
    /// <returns>The number in the unit of the report, or what is wrong.</returns>
    public (double? Value, string? Complaint) Read(string folder)
    {
        if (SysfsFile.Number(folder, $"in_{Name}_input", out string? complaint) is { } processed)
        {
            return (Unit.Convert(processed), null);
        }

        double? raw = SysfsFile.Number(folder, $"in_{Name}_raw", out string? rawComplaint);
        if (raw is null)
        {
            return (null, complaint ?? rawComplaint ?? $"in_{Name}_raw is not there.");
        }

        double? scale = Shared(folder, "scale", out string? scaleComplaint);
        double? offset = Shared(folder, "offset", out string? offsetComplaint);
        if (scaleComplaint is not null || offsetComplaint is not null)
        {
            return (null, scaleComplaint ?? offsetComplaint);
        }

        return scale is { } factor
            ? (Unit.Convert((raw.Value + (offset ?? 0)) * factor), null)
            : (null, string.Create(CultureInfo.InvariantCulture, $"in_{Name} has a raw value of {raw} and no scale, so that its size is not known."));
    }

    private double? Shared(string folder, string what, out string? complaint)
    {
        double? own = SysfsFile.Number(folder, $"in_{Name}_{what}", out complaint);
        return own is null && complaint is null ? SysfsFile.Number(folder, $"in_{Name.TrimEnd(Digits)}_{what}", out complaint) : own;
    }

    private static readonly char[] Digits = ['0', '1', '2', '3', '4', '5', '6', '7', '8', '9'];
}
