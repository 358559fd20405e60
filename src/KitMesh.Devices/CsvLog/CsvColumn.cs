using KitMesh.Devices.Mapping;

namespace KitMesh.Devices.CsvLog;

/// <summary>One column of a logger's file that is read.</summary>
/// <param name="Header">What the header line calls it.</param>
/// <param name="Meaning">What it stands for.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Scale">Multiplies the number before the unit.</param>
internal sealed record CsvColumn(string Header, Meaning Meaning, DeviceUnit Unit, double Scale);
