using System.Globalization;
using System.Text;
using KitMesh.Domain.Results;

namespace KitMesh.Hub.Pages.Parts;

/// <summary>The lines and bands of a chart of the state of charge, in a drawing of 360 by 210 units.</summary>
internal sealed class FanChartShape
{
    private const double LeftEdge = 44;
    private const double RightEdge = 352;
    private const double TopEdge = 10;
    private const double BottomEdge = 182;
    private const int MostDayLabels = 6;

    private FanChartShape()
    {
    }

    public string Left => Number(LeftEdge);

    public string Right => Number(RightEdge);

    public string LabelX => Number(LeftEdge - 6);

    public string DayY => Number(BottomEdge + 20);

    public required string Summary { get; init; }

    public required string WideBand { get; init; }

    public required string NarrowBand { get; init; }

    public required string Median { get; init; }

    public required IReadOnlyList<FanChartTick> Days { get; init; }

    public IReadOnlyList<FanChartTick> Levels { get; } =
        [.. new[] { 0.0, 0.25, 0.5, 0.75, 1.0 }.Select(level => new FanChartTick(Number(Y(level)), Number(Y(level) + 4), PageText.Percent(level)))];

    /// <summary>The chart of a bank with at least one day.</summary>
    public static FanChartShape Of(BankOutlook bank)
    {
        IReadOnlyList<OutlookDay> days = bank.Days;
        OutlookDay lowest = days.MinBy(day => day.Lowest.P10.Value)!;
        int step = Math.Max(1, (int)Math.Ceiling(days.Count / (double)MostDayLabels));
        return new FanChartShape
        {
            Summary = $"Lowest charge of {bank.Bank} by day: middle path from {PageText.Percent(days[0].Lowest.P50.Value)} to {PageText.Percent(days[^1].Lowest.P50.Value)}; one path in ten below {PageText.Percent(lowest.Lowest.P10.Value)} on {PageText.Day(lowest.Day)}.",
            WideBand = Band(days, spread => spread.P05.Value, spread => spread.P95.Value),
            NarrowBand = Band(days, spread => spread.P25.Value, spread => spread.P75.Value),
            Median = Line(days, spread => spread.P50.Value, 0, days.Count, 1),
            Days = [.. Enumerable.Range(0, days.Count).Where(i => i % step == 0).Select(i => new FanChartTick(Number(X(i, days.Count)), "", PageText.Day(days[i].Day)))],
        };
    }

    private static string Band(IReadOnlyList<OutlookDay> days, Func<ChargeSpread, double> low, Func<ChargeSpread, double> high) =>
        $"{Line(days, low, 0, days.Count, 1)} {Line(days, high, days.Count - 1, -1, -1)}";

    private static string Line(IReadOnlyList<OutlookDay> days, Func<ChargeSpread, double> level, int from, int until, int step)
    {
        var points = new StringBuilder();
        for (int i = from; i != until; i += step)
        {
            points.Append(points.Length > 0 ? " " : "").Append(Number(X(i, days.Count))).Append(',').Append(Number(Y(level(days[i].Lowest))));
        }

        return points.ToString();
    }

    private static double X(int day, int count) => count == 1 ? (LeftEdge + RightEdge) / 2 : LeftEdge + 14 + (day * (RightEdge - LeftEdge - 28) / (count - 1));

    private static double Y(double level) => BottomEdge - (Math.Clamp(level, 0, 1) * (BottomEdge - TopEdge));

    private static string Number(double value) => value.ToString("0.#", CultureInfo.InvariantCulture);
}
