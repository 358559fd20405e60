namespace KitMesh.Domain.Quantities;

/// <summary>Electric charge in ampere-hours.</summary>
/// <param name="Value">The number, in the unit "Ah".</param>
public readonly record struct AmpereHours(double Value) : IQuantity<AmpereHours>
{
    /// <inheritdoc/>
    public static string Unit => "Ah";

    /// <inheritdoc/>
    public static AmpereHours Of(double value) => new(value);

    /// <summary>Energy of this charge at a voltage.</summary>
    public static WattHours operator *(AmpereHours charge, Volts volts) => new(charge.Value * volts.Value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
