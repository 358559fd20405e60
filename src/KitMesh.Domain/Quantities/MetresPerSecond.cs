namespace KitMesh.Domain.Quantities;

/// <summary>Speed in metres per second.</summary>
/// <param name="Value">The number, in the unit "m/s".</param>
public readonly record struct MetresPerSecond(double Value) : IQuantity<MetresPerSecond>
{
    /// <inheritdoc/>
    public static string Unit => "m/s";

    /// <inheritdoc/>
    public static MetresPerSecond Of(double value) => new(value);

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
