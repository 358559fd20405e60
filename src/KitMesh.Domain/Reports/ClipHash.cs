using System.Diagnostics.CodeAnalysis;
using System.Globalization;

namespace KitMesh.Domain.Reports;

/// <summary>XXH3-128 of a file's bytes, seed 0, canonical (big-endian) form: what makes two files one clip.</summary>
/// <param name="Value">The 128 bits as one number.</param>
public readonly record struct ClipHash(UInt128 Value) : IComparable<ClipHash>
{
    /// <summary>Reads 32 hexadecimal digits.</summary>
    /// <param name="text">The digits.</param>
    /// <param name="hash">The hash when the text is one.</param>
    public static bool TryParse([NotNullWhen(true)] string? text, out ClipHash hash)
    {
        hash = default;
        if (text is not { Length: 32 } || !UInt128.TryParse(text, NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out UInt128 value))
        {
            return false;
        }

        hash = new ClipHash(value);
        return true;
    }

    /// <inheritdoc/>
    public int CompareTo(ClipHash other) => Value.CompareTo(other.Value);

    /// <summary>32 lower-case hexadecimal digits.</summary>
    public override string ToString() => Value.ToString("x32", CultureInfo.InvariantCulture);
}
