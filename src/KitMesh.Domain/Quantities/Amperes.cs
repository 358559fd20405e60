using NodaTime;

namespace KitMesh.Domain.Quantities;

/// <summary>Electric current in amperes; positive flows into the pack (charging).</summary>
/// <param name="Value">The number, in the unit "A".</param>
public readonly record struct Amperes(double Value) : IQuantity<Amperes>
{
    /// <inheritdoc/>
    public static string Unit => "A";

    /// <inheritdoc/>
    public static Amperes Of(double value) => new(value);

    /// <summary>Voltage drop of this current over a resistance.</summary>
    public static Volts operator *(Amperes amperes, Ohms ohms) => new(amperes.Value * ohms.Value);

    /// <summary>Charge that this current moves in a span of time.</summary>
    public static AmpereHours operator *(Amperes amperes, Duration span) => new(amperes.Value * span.TotalHours);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
