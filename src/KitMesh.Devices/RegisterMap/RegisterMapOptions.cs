using KitMesh.Devices.Mapping;
using KitMesh.Devices.Modbus;

namespace KitMesh.Devices.RegisterMap;

/// <summary>Options of a Modbus device that a map file describes.</summary>
/// <param name="Link">Where it is.</param>
/// <param name="Interval">World time between polls.</param>
/// <param name="Map">Its registers.</param>
/// <param name="Subjects">What it measures.</param>
internal sealed record RegisterMapOptions(ModbusLinkOptions Link, TimeSpan Interval, RegisterMapFile Map, ReadingSubjects Subjects);
