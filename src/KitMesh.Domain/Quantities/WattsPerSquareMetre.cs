namespace KitMesh.Domain.Quantities;

/// <summary>Irradiance in watts per square metre.</summary>
/// <param name="Value">The number, in the unit "W/m2".</param>
public readonly record struct WattsPerSquareMetre(double Value) : IQuantity<WattsPerSquareMetre>
{
    /// <inheritdoc/>
    public static string Unit => "W/m2";

    /// <inheritdoc/>
    public static WattsPerSquareMetre Of(double value) => new(value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
