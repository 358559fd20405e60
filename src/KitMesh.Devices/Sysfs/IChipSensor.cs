using KitMesh.Devices.Mapping;

namespace KitMesh.Devices.Sysfs;

/// <summary>One sensor of a device that the kernel shows as a folder of files.</summary>
internal interface IChipSensor
{
    /// <summary>Its name, as faults and places tell it.</summary>
    string Name { get; }

    /// <summary>What it stands for.</summary>
    Meaning Meaning { get; }

    /// <summary>Reads it: the number in the unit of the report, or what is wrong.</summary>
    /// <param name="folder">The device's folder.</param>
    (double? Value, string? Complaint) Read(string folder);
}
