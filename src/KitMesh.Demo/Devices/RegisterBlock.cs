using System.Text;

namespace KitMesh.Demo.Devices;

/// <summary>Builds a run of 16-bit Modbus registers, high word first.</summary>
internal sealed class RegisterBlock
{
    private readonly List<ushort> _registers = [];

    public IReadOnlyList<ushort> Registers => _registers;

    public RegisterBlock Word(int value)
    {
        _registers.Add(unchecked((ushort)value));
        return this;
    }

    public RegisterBlock Words(int value, int count)
    {
        for (int i = 0; i < count; i++)
        {
            Word(value);
        }

        return this;
    }

    public RegisterBlock Long(long value) => Word((int)((value >> 16) & 0xFFFF)).Word((int)(value & 0xFFFF));

    /// <summary>A value scaled by a power of ten, kept inside what the register can say.</summary>
    public RegisterBlock Scaled(double value, int power, int least, int most) =>
        Word((int)Math.Clamp(Math.Round(value * Math.Pow(10, -power)), least, most));

    /// <summary>ASCII, two letters a register, padded with zeros.</summary>
    public RegisterBlock Text(string text, int registers)
    {
        byte[] bytes = new byte[registers * 2];
        Encoding.ASCII.GetBytes(text, 0, Math.Min(text.Length, bytes.Length), bytes, 0);
        for (int i = 0; i < registers; i++)
        {
            Word((bytes[2 * i] << 8) | bytes[(2 * i) + 1]);
        }

        return this;
    }
}
