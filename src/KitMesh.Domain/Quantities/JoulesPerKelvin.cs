namespace KitMesh.Domain.Quantities;

/// <summary>Heat capacity in joules per kelvin.</summary>
/// <param name="Value">The number, in the unit "J/K".</param>
public readonly record struct JoulesPerKelvin(double Value) : IQuantity<JoulesPerKelvin>
{
    /// <inheritdoc/>
    public static string Unit => "J/K";

    /// <inheritdoc/>
    public static JoulesPerKelvin Of(double value) => new(value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
