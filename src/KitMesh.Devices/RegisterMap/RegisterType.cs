namespace KitMesh.Devices.RegisterMap;

/// <summary>How a number lies in registers.</summary>
internal enum RegisterType
{
    Int16,
    Uint16,
    Int32,
    Uint32,
    Float32,
}
