using KitMesh.Devices.Mapping;
using KitMesh.Devices.Sysfs;

namespace KitMesh.Devices.Hwmon;

/// <summary>One sensor of a hwmon chip.</summary>
/// <param name="Name">Its name without suffix, such as <c>temp1</c>.</param>
/// <param name="Unit">The unit of its prefix.</param>
/// <param name="Meaning">What it stands for.</param>
internal sealed record HwmonInput(string Name, DeviceUnit Unit, Meaning Meaning) : IChipSensor
{
    /// <inheritdoc/>
    public (double? Value, string? Complaint) Read(string folder)
    {
        if (SysfsFile.Read(folder, $"{Name}_fault") is SysfsFile.Text { Value: not "0" })
        {
            return (null, $"{Name} reports a fault of its sensor; its value is not used.");
        }

        double? raw = SysfsFile.Number(folder, $"{Name}_input", out string? complaint);
        return raw is { } number ? (Unit.Convert(number), null) : (null, complaint ?? $"{Name}_input is not there.");
    }
}
