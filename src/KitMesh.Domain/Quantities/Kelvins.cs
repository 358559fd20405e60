namespace KitMesh.Domain.Quantities;

/// <summary>A temperature difference in kelvins.</summary>
/// <param name="Value">The number, in the unit "K".</param>
public readonly record struct Kelvins(double Value) : IQuantity<Kelvins>
{
    /// <inheritdoc/>
    public static string Unit => "K";

    /// <inheritdoc/>
    public static Kelvins Of(double value) => new(value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
