using System.Buffers.Binary;

namespace KitMesh.Devices.Modbus;

/// <summary>The part of a frame that is the same on every line: function code and data. Only reads exist here.</summary>
/// <remarks>Source: MODBUS Application Protocol Specification V1.1b3, sections 6.3, 6.4 and 7.</remarks>
internal static class ModbusPdu
{
    /// <summary>The most registers in one read.</summary>
    public const int MaxRegisters = 125;

    /// <summary>The longest data unit.</summary>
    public const int MaxLength = 253;

    public static byte[] Request(RegisterTable table, ushort address, int count)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(count, MaxRegisters);
        var pdu = new byte[5];
        pdu[0] = (byte)table;
        BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(1), address);
        BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(3), (ushort)count);
        return pdu;
    }

    public static ModbusAnswer Decode(RegisterTable table, int count, ReadOnlySpan<byte> pdu, byte[] raw)
    {
        if (pdu.Length < 2)
        {
            return new ModbusAnswer.Garbled("it is shorter than any answer", raw);
        }

        if (pdu[0] == ((byte)table | 0x80))
        {
            return pdu.Length == 2 ? new ModbusAnswer.Refused(pdu[1]) : new ModbusAnswer.Garbled("an exception with more than a code", raw);
        }

        if (pdu[0] != (byte)table)
        {
            return new ModbusAnswer.Garbled($"function {pdu[0]} answers function {(byte)table}", raw);
        }

        if (pdu[1] != 2 * count || pdu.Length != 2 + pdu[1])
        {
            return new ModbusAnswer.Garbled($"{pdu.Length - 2} bytes, declared as {pdu[1]}, answer a read of {count} registers", raw);
        }

        var values = new ushort[count];
        for (int i = 0; i < count; i++)
        {
            values[i] = BinaryPrimitives.ReadUInt16BigEndian(pdu[(2 + (2 * i))..]);
        }

        return new ModbusAnswer.Registers(values);
    }
}
