using NodaTime;

namespace KitMesh.Domain.Quantities;

/// <summary>Power in watts.</summary>
/// <param name="Value">The number, in the unit "W".</param>
public readonly record struct Watts(double Value) : IQuantity<Watts>
{
    /// <inheritdoc/>
    public static string Unit => "W";

    /// <inheritdoc/>
    public static Watts Of(double value) => new(value);

    /// <summary>Energy that this power delivers in a span of time.</summary>
    public static WattHours operator *(Watts watts, Duration span) => new(watts.Value * span.TotalHours);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
