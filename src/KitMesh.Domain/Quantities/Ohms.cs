namespace KitMesh.Domain.Quantities;

/// <summary>Electric resistance in ohms.</summary>
/// <param name="Value">The number, in the unit "ohm".</param>
public readonly record struct Ohms(double Value) : IQuantity<Ohms>
{
    /// <inheritdoc/>
    public static string Unit => "ohm";

    /// <inheritdoc/>
    public static Ohms Of(double value) => new(value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
