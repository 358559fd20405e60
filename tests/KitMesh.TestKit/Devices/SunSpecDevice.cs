using System.Buffers.Binary;

namespace KitMesh.TestKit.Devices;

/// <summary>A SunSpec device as a test builds it: any models in any order behind the marker, read over Modbus TCP.</summary>
public sealed class SunSpecDevice
{
    private readonly SortedDictionary<int, ushort> _registers = [];
    private int _next;

    /// <summary>A device whose marker stands at an address.</summary>
    public SunSpecDevice(int baseAddress)
    {
        _registers[baseAddress] = 0x5375;
        _registers[baseAddress + 1] = 0x6E53;
        _next = baseAddress + 2;
    }

    /// <summary>The registers, for a foreign server.</summary>
    public IReadOnlyDictionary<int, ushort> Registers => _registers;

    /// <summary>Appends a model; everything that is not set is zero.</summary>
    /// <param name="id">Its id.</param>
    /// <param name="length">Its length without id and length.</param>
    /// <param name="set">Sets registers by their offset from the id.</param>
    public SunSpecDevice Model(int id, int length, params (int Offset, int Value)[] set)
    {
        _registers[_next] = (ushort)id;
        _registers[_next + 1] = (ushort)length;
        for (int i = 2; i < length + 2; i++)
        {
            _registers[_next + i] = 0;
        }

        foreach ((int offset, int value) in set)
        {
            _registers[_next + offset] = unchecked((ushort)value);
        }

        _next += length + 2;
        return this;
    }

    /// <summary>Ends the list.</summary>
    public SunSpecDevice End()
    {
        _registers[_next] = 0xFFFF;
        _registers[_next + 1] = 0;
        return this;
    }

    /// <summary>Changes one register.</summary>
    public void Poke(int address, int value) => _registers[address] = unchecked((ushort)value);

    /// <summary>Answers a Modbus TCP request as a device would: exception 2 for registers that it does not have.</summary>
    public byte[] Answer(byte[] request)
    {
        int address = BinaryPrimitives.ReadUInt16BigEndian(request.AsSpan(8));
        int count = BinaryPrimitives.ReadUInt16BigEndian(request.AsSpan(10));
        bool all = Enumerable.Range(address, count).All(_registers.ContainsKey);
        byte[] pdu = all ? new byte[2 + (2 * count)] : [0x83, 2];
        if (all)
        {
            pdu[0] = 3;
            pdu[1] = (byte)(2 * count);
            for (int i = 0; i < count; i++)
            {
                BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(2 + (2 * i)), _registers[address + i]);
            }
        }

        var frame = new byte[7 + pdu.Length];
        request.AsSpan(0, 4).CopyTo(frame);
        BinaryPrimitives.WriteUInt16BigEndian(frame.AsSpan(4), (ushort)(pdu.Length + 1));
        frame[6] = request[6];
        pdu.CopyTo(frame, 7);
        return frame;
    }
}
