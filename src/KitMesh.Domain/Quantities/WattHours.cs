using NodaTime;

namespace KitMesh.Domain.Quantities;

/// <summary>Energy in watt-hours.</summary>
/// <param name="Value">The number, in the unit "Wh".</param>
public readonly record struct WattHours(double Value) : IQuantity<WattHours>
{
    /// <inheritdoc/>
    public static string Unit => "Wh";

    /// <inheritdoc/>
    public static WattHours Of(double value) => new(value);

    /// <summary>Average power over a span of time.</summary>
    public static Watts operator /(WattHours energy, Duration span) => new(energy.Value / span.TotalHours);

    /// <summary>The same energy in joules (1 Wh = 3,600 J).</summary>
    public double Joules => Value * 3600;

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
