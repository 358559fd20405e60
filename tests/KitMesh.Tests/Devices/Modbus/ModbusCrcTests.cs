using KitMesh.Devices.Modbus;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Devices.Modbus;

/// <summary>Vectors of the serial line guide and of published frames; the table names each.</summary>
public sealed class ModbusCrcTests
{
    [Fact]
    public void Of_PublishedFrames_GivesTheirCrc()
    {
        PublishedTable table = PublishedTable.Load("modbus-crc.csv");
        Assert.True(table.Count >= 10);
        foreach (PublishedRow row in table.Rows)
        {
            ushort crc = ModbusCrc.Of(Convert.FromHexString(row["frame_without_crc_hex"]));
            Assert.Equal(row["crc16_hex_msb_first"], crc.ToString("X4"));
            Assert.Equal(row["wire_bytes_lo_hi"], $"{(byte)crc:X2} {crc >> 8:X2}");
        }
    }
}
