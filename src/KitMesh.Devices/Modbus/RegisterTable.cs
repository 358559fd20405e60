namespace KitMesh.Devices.Modbus;

/// <summary>The two tables of registers that can be read. The value is the function code.</summary>
public enum RegisterTable
{
    /// <summary>Holding registers, function code 3.</summary>
    Holding = 3,

    /// <summary>Input registers, function code 4.</summary>
    Input = 4,
}
