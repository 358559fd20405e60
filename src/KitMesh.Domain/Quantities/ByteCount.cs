using System.Globalization;

namespace KitMesh.Domain.Quantities;

/// <summary>A number of bytes. Shown in decimal units (1 GB = 10^9 bytes), as drives and cards are labelled.</summary>
/// <param name="Value">Bytes; negative only where a device reported nonsense.</param>
public readonly record struct ByteCount(long Value) : IComparable<ByteCount>
{
    /// <summary>No bytes.</summary>
    public static readonly ByteCount Zero = new(0);

    /// <summary>The count in decimal gigabytes.</summary>
    public double Gigabytes => Value / 1e9;

    /// <summary>A count from decimal gigabytes, rounded to the byte.</summary>
    /// <param name="gigabytes">Multiples of 10^9 bytes.</param>
    public static ByteCount FromGigabytes(double gigabytes) => new((long)Math.Round(gigabytes * 1e9));

    /// <summary>Sum.</summary>
    public static ByteCount operator +(ByteCount left, ByteCount right) => new(checked(left.Value + right.Value));

    /// <summary>Difference.</summary>
    public static ByteCount operator -(ByteCount left, ByteCount right) => new(checked(left.Value - right.Value));

    /// <summary>Fewer than.</summary>
    public static bool operator <(ByteCount left, ByteCount right) => left.Value < right.Value;

    /// <summary>More than.</summary>
    public static bool operator >(ByteCount left, ByteCount right) => left.Value > right.Value;

    /// <summary>At most.</summary>
    public static bool operator <=(ByteCount left, ByteCount right) => left.Value <= right.Value;

    /// <summary>At least.</summary>
    public static bool operator >=(ByteCount left, ByteCount right) => left.Value >= right.Value;

    /// <inheritdoc/>
    public int CompareTo(ByteCount other) => Value.CompareTo(other.Value);

    /// <summary>The count in the largest decimal unit that keeps it at 1 or more, the same in every locale.</summary>
    public override string ToString()
    {
        double magnitude = Math.Abs((double)Value);
        (double divisor, string unit) = magnitude switch
        {
            >= 1e12 => (1e12, "TB"),
            >= 1e9 => (1e9, "GB"),
            >= 1e6 => (1e6, "MB"),
            >= 1e3 => (1e3, "kB"),
            _ => (1.0, "B"),
        };
        return string.Create(CultureInfo.InvariantCulture, $"{Value / divisor:0.##} {unit}");
    }
}
