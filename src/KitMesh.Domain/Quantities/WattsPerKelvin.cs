namespace KitMesh.Domain.Quantities;

/// <summary>Thermal conductance in watts per kelvin.</summary>
/// <param name="Value">The number, in the unit "W/K".</param>
public readonly record struct WattsPerKelvin(double Value) : IQuantity<WattsPerKelvin>
{
    /// <inheritdoc/>
    public static string Unit => "W/K";

    /// <inheritdoc/>
    public static WattsPerKelvin Of(double value) => new(value);

    /// <summary>Heat flow at a temperature difference.</summary>
    public static Watts operator *(WattsPerKelvin conductance, Kelvins difference) => new(conductance.Value * difference.Value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
