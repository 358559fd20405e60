namespace KitMesh.Devices.Modbus;

/// <summary>The CRC-16 of Modbus RTU frames: polynomial 0xA001 (reflected 0x8005), start 0xFFFF, sent low byte first.</summary>
/// <remarks>Source: MODBUS over Serial Line, Specification and Implementation Guide V1.02, section 6.2.2. Check: "123456789" gives 0x4B37.</remarks>
public static class ModbusCrc
{
    /// <summary>The CRC of some bytes.</summary>
    /// <param name="bytes">The frame without its CRC.</param>
    public static ushort Of(ReadOnlySpan<byte> bytes)
    {
        ushort crc = 0xFFFF;
        foreach (byte b in bytes)
        {
            crc ^= b;
            for (int bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) != 0 ? (ushort)((crc >> 1) ^ 0xA001) : (ushort)(crc >> 1);
            }
        }

        return crc;
    }
}
