namespace KitMesh.Domain.Quantities;

/// <summary>A number with a fixed unit that can be added, scaled and compared only with its own kind.</summary>
/// <typeparam name="TSelf">The quantity itself.</typeparam>
/// <remarks>The arithmetic of all quantities stands once, in <see cref="QuantityArithmetic"/>.</remarks>
public interface IQuantity<TSelf>
    where TSelf : struct, IQuantity<TSelf>
{
    /// <summary>Symbol of the unit, in ASCII.</summary>
    static abstract string Unit { get; }

    /// <summary>The number, in <see cref="Unit"/>.</summary>
    double Value { get; }

    /// <summary>A quantity of this kind.</summary>
    /// <param name="value">The number, in <see cref="Unit"/>.</param>
    static abstract TSelf Of(double value);
}
