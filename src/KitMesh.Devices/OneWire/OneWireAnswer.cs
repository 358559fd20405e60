using System.Globalization;
using KitMesh.Domain.Quantities;

namespace KitMesh.Devices.OneWire;

// Problem: the kernel file always looks like a measurement, also when there was none.
// Traps: after a CRC failure the second line repeats the last good value; an all-zero bus passes the CRC; 85 °C is the
// power-on value and 127.9375 °C means too little power, both with a good CRC when byte 6 is 0x0C.
// Method: check the CRC ourselves over the nine bytes, refuse the three traps and whatever lies outside -55 to 125 °C,
// compute the temperature from the bytes and not from the driver's "t=".
// Source: Linux kernel drivers/w1/slaves/w1_therm.c and Documentation/w1/slaves/w1_therm.rst; CRC-8 of 1-Wire
// (polynomial 0x8C reflected, start 0). A real 85 °C reads the same as a reset: a pack at 85 °C is refused too, and the
// fault report says so.

/// <summary>What a <c>w1_slave</c> file says.</summary>
internal abstract record OneWireAnswer
{
    private const int Bytes = 9;

    private OneWireAnswer()
    {
    }

    /// <summary>A measurement.</summary>
    public sealed record Measured(Celsius Temperature) : OneWireAnswer;

    /// <summary>No measurement, and why.</summary>
    public sealed record Refused(string Why) : OneWireAnswer;

    /// <summary>Judges the text of a file.</summary>
    public static OneWireAnswer Parse(string text)
    {
        string[] lines = text.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        if (lines.Length != 2)
        {
            return new Refused("the file has not the two lines of a temperature sensor");
        }

        Span<byte> pad = stackalloc byte[Bytes];
        if (!TryBytes(lines[0], pad) || !TryBytes(lines[1], stackalloc byte[Bytes]))
        {
            return new Refused("a line does not begin with nine bytes");
        }

        if (!lines[0].EndsWith("YES", StringComparison.Ordinal) || Crc(pad[..^1]) != pad[^1])
        {
            return new Refused("the CRC is wrong; the temperature in the file is an old one");
        }

        return Judge(pad);
    }

    /// <summary>The CRC-8 of 1-Wire.</summary>
    public static byte Crc(ReadOnlySpan<byte> bytes)
    {
        byte crc = 0;
        foreach (byte b in bytes)
        {
            crc ^= b;
            for (int bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) != 0 ? (byte)((crc >> 1) ^ 0x8C) : (byte)(crc >> 1);
            }
        }

        return crc;
    }

    private static OneWireAnswer Judge(ReadOnlySpan<byte> pad)
    {
        if (pad.IndexOfAnyExcept((byte)0) < 0)
        {
            return new Refused("all bytes are zero: the bus is shorted or the sensor is gone");
        }

        short sixteenths = (short)(pad[0] | (pad[1] << 8));
        if (pad[6] == 0x0C && sixteenths == 0x0550)
        {
            return new Refused("85 °C is what the sensor says after power-on, before it has measured");
        }

        if (pad[6] == 0x0C && sixteenths == 0x07FF)
        {
            return new Refused("127.94 °C is what the sensor says when it gets too little power");
        }

        double celsius = sixteenths / 16.0;
        return celsius is >= -55 and <= 125
            ? new Measured(new Celsius(celsius))
            : new Refused(string.Create(CultureInfo.InvariantCulture, $"{celsius} °C lies outside the sensor's range of -55 to 125 °C"));
    }

    private static bool TryBytes(string line, Span<byte> pad)
    {
        string[] words = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        if (words.Length < Bytes)
        {
            return false;
        }

        for (int i = 0; i < Bytes; i++)
        {
            if (words[i].Length != 2 || !byte.TryParse(words[i], NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out pad[i]))
            {
                return false;
            }
        }

        return true;
    }
}
