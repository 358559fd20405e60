using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Pages;

/// <summary>Series that share a scale and are drawn together.</summary>
/// <param name="Word">Its word in addresses.</param>
/// <param name="Name">Its name.</param>
/// <param name="StoredUnit">The unit of the scale where nothing else is asked for.</param>
/// <param name="Scale">What a stored value is multiplied with to be in that unit.</param>
/// <param name="Parts">The quantities, each with what tells it apart from the others of one thing.</param>
public sealed record HistorySubject(string Word, string Name, string StoredUnit, double Scale, IReadOnlyList<HistoryPart> Parts)
{
    private const string Celsius = "°C";

    /// <summary>The unit as the reader writes it.</summary>
    public string Unit => IsFahrenheit ? "°F" : StoredUnit;

    private bool IsFahrenheit => StoredUnit == Celsius && PageLocale.Here.Fahrenheit;

    /// <summary>A stored value in the unit that is shown.</summary>
    /// <param name="stored">The value as the store has it.</param>
    public double Shown(double stored) => IsFahrenheit ? (stored * 1.8) + 32 : stored * Scale;

    /// <summary>Everything that can be drawn.</summary>
    public static readonly IReadOnlyList<HistorySubject> All =
    [
        new("charge", "Charge", "%", 100, [new(SeriesQuantity.PackCharge, ""), new(SeriesQuantity.LoadCharge, ""), new(SeriesQuantity.AgentCharge, "its own battery")]),
        new("temperature", "Temperatures", Celsius, 1, [new(SeriesQuantity.PackColdest, "coldest probe"), new(SeriesQuantity.PackWarmest, "warmest probe"), new(SeriesQuantity.Temperature, ""), new(SeriesQuantity.LoadTemperature, "battery"), new(SeriesQuantity.DriveTemperature, "")]),
        new("volts", "Volts", "V", 1, [new(SeriesQuantity.PackVolts, ""), new(SeriesQuantity.PanelVolts, "")]),
        new("watts", "Watts", "W", 1, [new(SeriesQuantity.PackWatts, ""), new(SeriesQuantity.PanelWatts, ""), new(SeriesQuantity.LoadWatts, "")]),
        new("amperes", "Amperes", "A", 1, [new(SeriesQuantity.PackAmperes, "")]),
        new("room", "Room on drives", "GB", 1e-9, [new(SeriesQuantity.DriveFree, "")]),
    ];
}
