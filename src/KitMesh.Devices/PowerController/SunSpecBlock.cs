using System.Text;

namespace KitMesh.Devices.PowerController;

/// <summary>One model as a device holds it: the published layout over the registers that were read.</summary>
/// <remarks>
/// A point is usable when it lies inside the length that the device declares, is not the sentinel for "not implemented"
/// of its type, and its scale factor, where it has one, is implemented and from -10 to 10. Everything else is null.
/// Source: SunSpec Device Information Model Specification, sections on point types and unimplemented values.
/// </remarks>
internal sealed class SunSpecBlock
{
    // The powers as they are written, so that 1 342 with -2 is the double nearest to 13.42.
    private static readonly double[] PowersOfTen = [1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10];

    private readonly ushort[] _registers;

    /// <summary>A block over registers that begin with id and length.</summary>
    public SunSpecBlock(SunSpecModel model, ushort[] registers)
    {
        Model = model;
        _registers = registers;
    }

    /// <summary>The layout.</summary>
    public SunSpecModel Model { get; }

    /// <summary>Repetitions that fit into the declared length, at most as many as the count point says.</summary>
    /// <param name="countPoint">Name of the point that counts them.</param>
    public int Repetitions(string countPoint)
    {
        int fit = Model.GroupSize == 0 ? 0 : Math.Max(0, (_registers.Length - Model.GroupStart) / Model.GroupSize);
        return Number(countPoint) is { } count ? Math.Min(fit, (int)count) : fit;
    }

    /// <summary>A scaled number of the fixed part; null when not usable.</summary>
    public double? Number(string name) => Scaled(Model.Find(name, repeats: false), 0);

    /// <summary>A scaled number of one repetition, from 0; null when not usable.</summary>
    public double? Number(string name, int repetition) => Scaled(Model.Find(name, repeats: true), repetition);

    /// <summary>A number of the fixed part, scaled by another point than the published one; null when not usable.</summary>
    public double? NumberScaledBy(string name, string scale) => Scaled(Model.Find(name, repeats: false) with { Scale = scale }, 0);

    /// <summary>A text of the fixed part; empty when not implemented.</summary>
    public string Text(string name)
    {
        SunSpecPoint point = Model.Find(name, repeats: false);
        if (point.Offset + point.Size > _registers.Length)
        {
            return "";
        }

        var bytes = new byte[point.Size * 2];
        for (int i = 0; i < point.Size; i++)
        {
            bytes[2 * i] = (byte)(_registers[point.Offset + i] >> 8);
            bytes[(2 * i) + 1] = (byte)_registers[point.Offset + i];
        }

        int end = Array.IndexOf(bytes, (byte)0);
        return Encoding.UTF8.GetString(bytes, 0, end < 0 ? bytes.Length : end).Trim();
    }

    private double? Scaled(SunSpecPoint point, int repetition)
    {
        if (Raw(point, point.Offset + (point.Repeats ? repetition * Model.GroupSize : 0)) is not { } raw)
        {
            return null;
        }

        if (point.Scale.Length == 0)
        {
            return raw;
        }

        SunSpecPoint scale = Model.Find(point.Scale, repeats: false);
        if (Raw(scale, scale.Offset) is not { } power || power is < -10 or > 10)
        {
            return null;
        }

        return power < 0 ? raw / PowersOfTen[(int)-power] : raw * PowersOfTen[(int)power];
    }

    private double? Raw(SunSpecPoint point, int offset)
    {
        if (offset + point.Size > _registers.Length)
        {
            return null;
        }

        ulong bits = 0;
        for (int i = 0; i < point.Size && point.Size <= 4; i++)
        {
            bits = (bits << 16) | _registers[offset + i];
        }

        return point.Type switch
        {
            SunSpecType.Int16 or SunSpecType.Scale => bits == 0x8000 ? null : (short)bits,
            SunSpecType.Uint16 or SunSpecType.Enum16 or SunSpecType.Count => bits == 0xFFFF ? null : bits,
            SunSpecType.Uint32 or SunSpecType.Bitfield32 => bits == 0xFFFF_FFFF ? null : bits,
            SunSpecType.Uint64 => bits == ulong.MaxValue ? null : bits,
            SunSpecType.Acc32 => bits == 0 ? null : bits,
            SunSpecType.Text or SunSpecType.Pad => null,
            _ => throw new InvalidOperationException("Not a point type."),
        };
    }
}
