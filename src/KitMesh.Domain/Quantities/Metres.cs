namespace KitMesh.Domain.Quantities;

/// <summary>Length or height in metres.</summary>
/// <param name="Value">The number, in the unit "m".</param>
public readonly record struct Metres(double Value) : IQuantity<Metres>
{
    /// <inheritdoc/>
    public static string Unit => "m";

    /// <inheritdoc/>
    public static Metres Of(double value) => new(value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
