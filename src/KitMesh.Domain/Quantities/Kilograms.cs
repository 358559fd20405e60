namespace KitMesh.Domain.Quantities;

/// <summary>Mass in kilograms.</summary>
/// <param name="Value">The number, in the unit "kg".</param>
public readonly record struct Kilograms(double Value) : IQuantity<Kilograms>
{
    /// <inheritdoc/>
    public static string Unit => "kg";

    /// <inheritdoc/>
    public static Kilograms Of(double value) => new(value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
