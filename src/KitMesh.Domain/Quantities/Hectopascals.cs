namespace KitMesh.Domain.Quantities;

/// <summary>Pressure in hectopascals.</summary>
/// <param name="Value">The number, in the unit "hPa".</param>
public readonly record struct Hectopascals(double Value) : IQuantity<Hectopascals>
{
    /// <inheritdoc/>
    public static string Unit => "hPa";

    /// <inheritdoc/>
    public static Hectopascals Of(double value) => new(value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
