namespace KitMesh.Devices.PowerController;

/// <summary>The point types of the models that are decoded.</summary>
internal enum SunSpecType
{
    Int16,
    Uint16,
    Uint32,
    Uint64,
    Acc32,
    Enum16,
    Bitfield32,
    Count,
    Text,
    Scale,
    Pad,
}
