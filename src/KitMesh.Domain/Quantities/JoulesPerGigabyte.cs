namespace KitMesh.Domain.Quantities;

/// <summary>Energy for each gigabyte (10^9 bytes) moved.</summary>
/// <param name="Value">The number, in the unit "J/GB".</param>
public readonly record struct JoulesPerGigabyte(double Value) : IQuantity<JoulesPerGigabyte>
{
    private const double BytesPerGigabyte = 1e9;

    /// <inheritdoc/>
    public static string Unit => "J/GB";

    /// <inheritdoc/>
    public static JoulesPerGigabyte Of(double value) => new(value);

    /// <summary>What some bytes cost.</summary>
    /// <param name="bytes">The bytes.</param>
    public WattHours For(ByteCount bytes) => new(Value * bytes.Value / BytesPerGigabyte / 3600);

    /// <summary>How many bytes an energy pays for.</summary>
    /// <param name="energy">The energy.</param>
    public ByteCount Buys(WattHours energy) => new((long)Math.Min(energy.Joules / Value * BytesPerGigabyte, long.MaxValue / 2));

    /// <summary>The number with its unit, the same in every locale.</summary>
    public override string ToString() => this.Text;
}
