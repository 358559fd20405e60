using System.Globalization;

namespace KitMesh.Domain.Quantities;

/// <summary>State of charge as a fraction: 0 is empty, 1 is full. Devices may report values outside.</summary>
/// <param name="Value">The fraction.</param>
public readonly record struct StateOfCharge(double Value) : IComparable<StateOfCharge>
{
    /// <summary>Whether the fraction is finite and from 0 to 1.</summary>
    public bool IsPossible => Value is >= 0 and <= 1;

    /// <summary>A state of charge from percent.</summary>
    /// <param name="percent">0 is empty, 100 is full.</param>
    public static StateOfCharge FromPercent(double percent) => new(percent / 100);

    /// <inheritdoc/>
    public int CompareTo(StateOfCharge other) => Value.CompareTo(other.Value);

    /// <summary>The fraction in percent, the same in every locale.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Value * 100:0.#} %");
}
