using System.Globalization;

namespace KitMesh.Domain.Quantities;

/// <summary>A temperature in degrees Celsius. Temperatures differ by <see cref="Kelvins"/> and cannot be added.</summary>
/// <param name="Value">Degrees Celsius.</param>
public readonly record struct Celsius(double Value) : IComparable<Celsius>
{
    /// <summary>The lowest temperature that physics allows.</summary>
    public static readonly Celsius AbsoluteZero = new(-273.15);

    /// <summary>The same temperature in kelvins.</summary>
    public double Kelvin => Value + 273.15;

    /// <summary>Whether the number is finite and not below absolute zero.</summary>
    public bool IsPhysical => double.IsFinite(Value) && Value >= AbsoluteZero.Value;

    /// <summary>Difference of two temperatures.</summary>
    public static Kelvins operator -(Celsius left, Celsius right) => new(left.Value - right.Value);

    /// <summary>A temperature raised by a difference.</summary>
    public static Celsius operator +(Celsius left, Kelvins difference) => new(left.Value + difference.Value);

    /// <summary>A temperature lowered by a difference.</summary>
    public static Celsius operator -(Celsius left, Kelvins difference) => new(left.Value - difference.Value);

    /// <summary>Colder than.</summary>
    public static bool operator <(Celsius left, Celsius right) => left.Value < right.Value;

    /// <summary>Warmer than.</summary>
    public static bool operator >(Celsius left, Celsius right) => left.Value > right.Value;

    /// <summary>At most as warm as.</summary>
    public static bool operator <=(Celsius left, Celsius right) => left.Value <= right.Value;

    /// <summary>At least as warm as.</summary>
    public static bool operator >=(Celsius left, Celsius right) => left.Value >= right.Value;

    /// <inheritdoc/>
    public int CompareTo(Celsius other) => Value.CompareTo(other.Value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Value:0.##} °C");
}
