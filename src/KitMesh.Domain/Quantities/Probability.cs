using System.Globalization;

namespace KitMesh.Domain.Quantities;

/// <summary>A chance from 0 (cannot happen) to 1 (certain).</summary>
public readonly record struct Probability : IComparable<Probability>
{
    /// <summary>A chance.</summary>
    /// <param name="value">From 0 to 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">The value is NaN or outside 0 to 1.</exception>
    public Probability(double value)
    {
        if (value is not (>= 0 and <= 1))
        {
            throw new ArgumentOutOfRangeException(nameof(value), value, "A probability lies between 0 and 1.");
        }

        Value = value;
    }

    /// <summary>The chance, from 0 to 1.</summary>
    public double Value { get; }

    /// <inheritdoc/>
    public int CompareTo(Probability other) => Value.CompareTo(other.Value);

    /// <summary>The chance in percent, the same in every locale.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Value * 100:0.##} %");
}
