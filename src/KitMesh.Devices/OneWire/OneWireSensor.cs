using KitMesh.Devices.Mapping;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.OneWire;

/// <summary>One thermometer on the bus.</summary>
/// <param name="Device">Its folder name, such as <c>28-0000075fe7a1</c>.</param>
/// <param name="Target">Battery (a probe on the cells) or thermometer.</param>
/// <param name="Subject">What it measures.</param>
internal sealed record OneWireSensor(string Device, ReadingTarget Target, KitId Subject);

