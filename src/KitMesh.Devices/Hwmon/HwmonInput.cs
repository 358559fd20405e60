using KitMesh.Devices.Mapping;

namespace KitMesh.Devices.Hwmon;

/// <summary>One sensor of a hwmon chip.</summary>
/// <param name="Name">Its name without suffix, such as <c>temp1</c>.</param>
/// <param name="Unit">The unit of its prefix.</param>
/// <param name="Meaning">What it stands for.</param>
internal sealed record HwmonInput(string Name, DeviceUnit Unit, Meaning Meaning);
