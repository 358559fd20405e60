using KitMesh.Devices.OneWire;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Devices.OneWire;

/// <summary>Scratchpads of Published/one-wire-scratchpads.csv; each row names its source.</summary>
public sealed class OneWireAnswerTests
{
    [Fact]
    public void Parse_PublishedScratchpads_MeasuresTheGoodAndRefusesTheRest()
    {
        PublishedTable table = PublishedTable.Load("one-wire-scratchpads.csv");
        Assert.Equal(9, table.Count);
        foreach (PublishedRow row in table.Rows)
        {
            byte[] pad = Convert.FromHexString(row["scratchpad_hex"]);
            Assert.Equal(row["crc_hex"], OneWireAnswer.Crc(pad).ToString("x2"));
            OneWireAnswer answer = OneWireAnswer.Parse(File(pad, OneWireAnswer.Crc(pad), "YES", row["milli_celsius"]));
            if (row["meaning"] == "good")
            {
                double celsius = Assert.IsType<OneWireAnswer.Measured>(answer).Temperature.Value;
                Assert.Equal(row.Number("milli_celsius"), Math.Truncate(celsius * 1000));
            }
            else
            {
                Assert.IsType<OneWireAnswer.Refused>(answer);
            }
        }
    }

    [Fact]
    public void Parse_CrcFailure_RefusesTheRetainedValueBelow()
    {
        // The driver prints the bytes it read with NO, and below the last good ones with their temperature.
        string text = "72 01 4b 46 7f ff 0e 10 58 : crc=58 NO\n72 01 4b 46 7f ff 0e 10 57 t=23125\n";

        Assert.Contains("old one", Assert.IsType<OneWireAnswer.Refused>(OneWireAnswer.Parse(text)).Why, StringComparison.Ordinal);
    }

    [Fact]
    public void Parse_DriverSaysYesAndTheCrcIsWrong_Refuses()
    {
        // Samples that circulate with invented checksums: a3 01 with d8 has in truth 9b.
        Assert.IsType<OneWireAnswer.Refused>(OneWireAnswer.Parse(File([0xa3, 0x01, 0x4b, 0x46, 0x7f, 0xff, 0x0e, 0x10], 0xd8, "YES", "26187")));
    }

    [Fact]
    public void Parse_TemperatureFromTheBytes_NotFromTheText()
    {
        OneWireAnswer answer = OneWireAnswer.Parse(File([0x72, 0x01, 0x4b, 0x46, 0x7f, 0xff, 0x0e, 0x10], 0x57, "YES", "99999"));

        Assert.Equal(23.125, Assert.IsType<OneWireAnswer.Measured>(answer).Temperature.Value);
    }

    [Fact]
    public void Parse_RealEightyFiveDegrees_IsMeasuredWhenByteSixDiffers()
    {
        byte[] pad = [0x50, 0x05, 0x4b, 0x46, 0x7f, 0xff, 0x10, 0x10];

        Assert.Equal(85, Assert.IsType<OneWireAnswer.Measured>(OneWireAnswer.Parse(File(pad, OneWireAnswer.Crc(pad), "YES", "85000"))).Temperature.Value);
    }

    [Theory]
    [InlineData("")]
    [InlineData("YES\n")]
    [InlineData("zz 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n72 01 4b 46 7f ff 0e 10 57 t=23125\n")]
    [InlineData("72 01 4b : crc=57 YES\n72 01 4b t=23125\n")]
    public void Parse_NoScratchpad_Refuses(string text) => Assert.IsType<OneWireAnswer.Refused>(OneWireAnswer.Parse(text));

    [Fact]
    public void Parse_OutsideTheSensorsRange_Refuses()
    {
        byte[] pad = [0x00, 0x08, 0x4b, 0x46, 0x7f, 0xff, 0x0e, 0x10];

        Assert.Contains("range", Assert.IsType<OneWireAnswer.Refused>(OneWireAnswer.Parse(File(pad, OneWireAnswer.Crc(pad), "YES", "128000"))).Why, StringComparison.Ordinal);
    }

    private static string File(byte[] pad, byte crc, string verdict, string milliCelsius)
    {
        string bytes = string.Join(' ', pad.Append(crc).Select(b => b.ToString("x2")));
        return $"{bytes} : crc={crc:x2} {verdict}\n{bytes} t={milliCelsius}\n";
    }
}
