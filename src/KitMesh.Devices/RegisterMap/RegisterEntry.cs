using KitMesh.Devices.Mapping;
using KitMesh.Devices.Modbus;

namespace KitMesh.Devices.RegisterMap;

/// <summary>One line of a register map.</summary>
/// <param name="Table">The table it lies in.</param>
/// <param name="Address">First register, from 0 as on the wire.</param>
/// <param name="Type">How the number lies there.</param>
/// <param name="LowWordFirst">Whether a number of two registers begins with its low word.</param>
/// <param name="Scale">Multiplies the number.</param>
/// <param name="Offset">Is added after scaling, in the unit.</param>
/// <param name="Unit">The unit of the scaled number.</param>
/// <param name="Meaning">What it stands for.</param>
/// <param name="Missing">Raw value that says "no value"; null when there is none.</param>
internal sealed record RegisterEntry(
    RegisterTable Table,
    ushort Address,
    RegisterType Type,
    bool LowWordFirst,
    double Scale,
    double Offset,
    DeviceUnit Unit,
    Meaning Meaning,
    uint? Missing)
{
    /// <summary>Registers that it takes.</summary>
    public int Size => Type is RegisterType.Int16 or RegisterType.Uint16 ? 1 : 2;

    /// <summary>The number in the unit of the report; null when the device says "no value" (sentinel or NaN).</summary>
    public double? Decode(ReadOnlySpan<ushort> registers)
    {
        uint raw = Size == 1 ? registers[0]
            : LowWordFirst ? ((uint)registers[1] << 16) | registers[0]
            : ((uint)registers[0] << 16) | registers[1];
        double number = Type switch
        {
            RegisterType.Int16 => (short)raw,
            RegisterType.Int32 => (int)raw,
            RegisterType.Float32 => BitConverter.UInt32BitsToSingle(raw),
            _ => raw,
        };
        return raw == Missing || double.IsNaN(number) ? null : Unit.Convert((number * Scale) + Offset);
    }
}
