using KitMesh.Devices.Mapping;

namespace KitMesh.Devices.Sysfs;

/// <summary>A device of a kernel class that is found by what its file <c>name</c> says; the number of its folder changes from boot to boot.</summary>
/// <param name="Word">What messages call it: <c>chip</c> or <c>device</c>.</param>
/// <param name="Root">Folder of the class.</param>
/// <param name="Chip">What its file <c>name</c> says.</param>
/// <param name="Interval">World time between polls.</param>
/// <param name="Sensors">The sensors that are read.</param>
/// <param name="Subjects">What they measure.</param>
internal sealed record ChipOptions(string Word, string Root, string Chip, TimeSpan Interval, IReadOnlyList<IChipSensor> Sensors, ReadingSubjects Subjects);
