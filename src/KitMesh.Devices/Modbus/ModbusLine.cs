namespace KitMesh.Devices.Modbus;

/// <summary>How a Modbus device is connected.</summary>
public enum ModbusLine
{
    /// <summary>Modbus TCP.</summary>
    Tcp = 0,

    /// <summary>Modbus RTU on a serial line.</summary>
    Serial = 1,

    /// <summary>RTU frames through a gateway on TCP.</summary>
    SerialOverTcp = 2,
}
