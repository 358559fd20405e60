namespace KitMesh.Domain.Quantities;

/// <summary>Electric potential difference in volts.</summary>
/// <param name="Value">The number, in the unit "V".</param>
public readonly record struct Volts(double Value) : IQuantity<Volts>
{
    /// <inheritdoc/>
    public static string Unit => "V";

    /// <inheritdoc/>
    public static Volts Of(double value) => new(value);

    /// <summary>Power of this voltage at a current.</summary>
    public static Watts operator *(Volts volts, Amperes amperes) => new(volts.Value * amperes.Value);

    /// <summary>Current that this voltage drives through a resistance.</summary>
    public static Amperes operator /(Volts volts, Ohms ohms) => new(volts.Value / ohms.Value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
