using KitMesh.Domain.Reports;

namespace KitMesh.Storage.RollUps;

/// <summary>Fixed-point numbers of a quantity, and the range in which a value is believed.</summary>
/// <remarks>
/// Sums of doubles depend on their order; sums of integers do not, and a roll-up must come out the same on every hub.
/// One unit is one millionth, except for bytes. A value that is not a number or past the range is kept as a report and left
/// out of the roll-ups: it would ruin a mean and tells of the sensor, not of the thing.
/// </remarks>
internal static class SeriesScale
{
    private const double Micro = 1e6;

    /// <summary>Units of the fixed-point number in one unit of the quantity.</summary>
    public static double PerUnit(SeriesQuantity quantity) => quantity == SeriesQuantity.DriveFree ? 1 : Micro;

    /// <summary>The fixed-point number, or null when the value cannot be believed.</summary>
    public static long? Fixed(SeriesQuantity quantity, double value)
    {
        (double least, double most) = Believable(quantity);
        return value >= least && value <= most ? (long)Math.Round(value * PerUnit(quantity), MidpointRounding.ToEven) : null;
    }

    /// <summary>The value of a fixed-point number.</summary>
    public static double Value(SeriesQuantity quantity, double units) => units / PerUnit(quantity);

    private static (double Least, double Most) Believable(SeriesQuantity quantity) => quantity switch
    {
        SeriesQuantity.PackVolts or SeriesQuantity.PanelVolts => (-2_000, 2_000),
        SeriesQuantity.PackAmperes => (-5_000, 5_000),
        SeriesQuantity.PackWatts or SeriesQuantity.PanelWatts or SeriesQuantity.LoadWatts => (-1e6, 1e6),
        SeriesQuantity.PackCharge or SeriesQuantity.LoadCharge or SeriesQuantity.AgentCharge => (0, 1),
        SeriesQuantity.PackColdest or SeriesQuantity.PackWarmest or SeriesQuantity.Temperature
            or SeriesQuantity.LoadTemperature or SeriesQuantity.DriveTemperature => (-273.15, 1_000),
        SeriesQuantity.PanelYieldTotal or SeriesQuantity.LoadEnergyTotal => (0, 1e12),
        SeriesQuantity.DriveFree => (0, 1e18),
        _ => throw new ArgumentOutOfRangeException(nameof(quantity), quantity, "There is no such quantity."),
    };
}
