namespace KitMesh.Domain.Quantities;

/// <summary>Area in square metres.</summary>
/// <param name="Value">The number, in the unit "m2".</param>
public readonly record struct SquareMetres(double Value) : IQuantity<SquareMetres>
{
    /// <inheritdoc/>
    public static string Unit => "m2";

    /// <inheritdoc/>
    public static SquareMetres Of(double value) => new(value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
