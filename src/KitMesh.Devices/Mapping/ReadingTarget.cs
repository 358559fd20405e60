namespace KitMesh.Devices.Mapping;

/// <summary>The kinds of thing that a number can be about.</summary>
internal enum ReadingTarget
{
    Battery,
    Panel,
    Load,
    Thermometer,
}
