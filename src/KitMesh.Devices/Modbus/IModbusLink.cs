namespace KitMesh.Devices.Modbus;

/// <summary>A line on which one device answers reads. There is no way to write: the guard warns, no reader writes to a device.</summary>
public interface IModbusLink : IAsyncDisposable
{
    /// <summary>Where the device is, for messages.</summary>
    string Where { get; }

    /// <summary>Reads registers. One read at a time.</summary>
    /// <param name="table">Which table.</param>
    /// <param name="address">First register, counted from 0 as on the wire.</param>
    /// <param name="count">How many, from 1 to 125.</param>
    /// <param name="stop">Gives up.</param>
    Task<ModbusAnswer> ReadAsync(RegisterTable table, ushort address, int count, CancellationToken stop);
}
