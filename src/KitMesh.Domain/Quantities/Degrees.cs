namespace KitMesh.Domain.Quantities;

/// <summary>A plane angle in degrees.</summary>
/// <param name="Value">The number, in the unit "deg".</param>
public readonly record struct Degrees(double Value) : IQuantity<Degrees>
{
    /// <inheritdoc/>
    public static string Unit => "deg";

    /// <inheritdoc/>
    public static Degrees Of(double value) => new(value);

    /// <summary>The same angle in radians.</summary>
    public double Radians => Value * (Math.PI / 180);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
