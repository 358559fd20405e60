using KitMesh.Domain.Reports;

namespace KitMesh.Storage.RollUps;

/// <summary>The believable numbers of a report, by series.</summary>
public static class ReportValues
{
    /// <summary>The numbers; none for a report that adds to no series.</summary>
    /// <param name="body">The report.</param>
    public static IReadOnlyList<(SeriesKey Series, double Value)> Of(ReportBody body)
    {
        var found = new List<(SeriesKey Series, long Units)>();
        ReportSeries.Collect(body, found);
        return [.. found.Select(one => (one.Series, SeriesScale.Value(one.Series.Quantity, one.Units)))];
    }

    /// <summary>The unit of a quantity, as exports write it; 1 for a share.</summary>
    /// <param name="quantity">The quantity.</param>
    public static string Unit(SeriesQuantity quantity) => quantity switch
    {
        SeriesQuantity.PackVolts or SeriesQuantity.PanelVolts => "V",
        SeriesQuantity.PackAmperes => "A",
        SeriesQuantity.PackWatts or SeriesQuantity.PanelWatts or SeriesQuantity.LoadWatts => "W",
        SeriesQuantity.PackCharge or SeriesQuantity.LoadCharge or SeriesQuantity.AgentCharge => "1",
        SeriesQuantity.PanelYieldTotal or SeriesQuantity.LoadEnergyTotal => "Wh",
        SeriesQuantity.DriveFree => "B",
        SeriesQuantity.PackColdest or SeriesQuantity.PackWarmest or SeriesQuantity.Temperature
            or SeriesQuantity.LoadTemperature or SeriesQuantity.DriveTemperature => "Cel",
        _ => throw new ArgumentOutOfRangeException(nameof(quantity), quantity, "There is no such quantity."),
    };
}
