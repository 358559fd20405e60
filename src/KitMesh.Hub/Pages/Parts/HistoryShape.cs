using System.Globalization;
using System.Text;
using NodaTime;

namespace KitMesh.Hub.Pages.Parts;

/// <summary>The drawing of readings over time as the hub makes it, in 720 by 320 units; a browser with scripts draws it anew.</summary>
internal sealed class HistoryShape
{
    /// <summary>More points than this nobody sees on a line: several hours become one.</summary>
    private const int MostPoints = 160;

    private const double LeftEdge = 56;
    private const double RightEdge = 712;
    private const double TopEdge = 10;
    private const double BottomEdge = 284;

    private HistoryShape()
    {
    }

    /// <summary>Points of each line; a hole in the readings parts a line.</summary>
    public required IReadOnlyList<IReadOnlyList<string>> Lines { get; init; }

    public required IReadOnlyList<FanChartTick> Levels { get; init; }

    public required IReadOnlyList<FanChartTick> Days { get; init; }

    public required string Summary { get; init; }

    /// <summary>The drawing of a chart with at least one line.</summary>
    public static HistoryShape Of(HistoryChart chart, HistorySubject subject, Offset zone)
    {
        double least = chart.Lines.Min(line => line.Means.Min() ?? line.Least);
        double most = chart.Lines.Max(line => line.Means.Max() ?? line.Most);
        double step = Step(Math.Max(most - least, 1e-6) / 4);
        double low = Math.Floor(least / step) * step;
        double high = Math.Max(low + step, Math.Ceiling(most / step) * step);
        double Y(double value) => BottomEdge - ((value - low) / (high - low) * (BottomEdge - TopEdge));
        double X(double hour) => LeftEdge + (hour / chart.Hours * (RightEdge - LeftEdge));
        int levels = (int)Math.Round((high - low) / step);
        return new HistoryShape
        {
            Summary = $"{subject.Name} over {PageText.Count(chart.Hours / 24, "day")}, {PageText.Count(chart.Lines.Count, "line")}, from {Number(least)} to {Number(most)} {subject.Unit}. The table below has each line's figures.",
            Lines = [.. chart.Lines.Select(line => Runs(line, chart.Hours, X, Y))],
            Levels = [.. Enumerable.Range(0, levels + 1).Select(i => low + (i * step)).Select(level => new FanChartTick(Number(Y(level)), Number(Y(level) + 4), $"{Number(level)} {subject.Unit}"))],
            Days = [.. DayTicks(chart, zone, X)],
        };
    }

    private static List<string> Runs(HistoryLine line, int hours, Func<double, double> x, Func<double, double> y)
    {
        int together = Math.Max(1, (int)Math.Ceiling(hours / (double)MostPoints));
        List<string> runs = [];
        var run = new StringBuilder();
        for (int from = 0; from < hours; from += together)
        {
            double[] known = [.. line.Means.Skip(from).Take(together).OfType<double>()];
            if (known.Length > 0)
            {
                run.Append(run.Length > 0 ? " " : "").Append(Number(x(from + (together / 2.0)))).Append(',').Append(Number(y(known.Average())));
            }
            else if (run.Length > 0)
            {
                runs.Add(run.ToString());
                run.Clear();
            }
        }

        if (run.Length > 0)
        {
            runs.Add(run.ToString());
        }

        return runs;
    }

    private static IEnumerable<FanChartTick> DayTicks(HistoryChart chart, Offset zone, Func<double, double> x)
    {
        int days = chart.Hours / 24;
        int step = Math.Max(1, (int)Math.Ceiling(days / 6.0));
        LocalDate first = Instant.FromUnixTimeSeconds(chart.FirstHour).WithOffset(zone).Date.PlusDays(1);
        for (int day = 0; day < days; day += step)
        {
            LocalDate date = first.PlusDays(day);
            double hour = (date.AtMidnight().WithOffset(zone).ToInstant().ToUnixTimeSeconds() - chart.FirstHour) / 3600.0;
            if (hour > chart.Hours * 0.03 && hour < chart.Hours * 0.97)
            {
                yield return new FanChartTick(Number(x(hour)), "", PageText.Day(date));
            }
        }
    }

    private static double Step(double rough)
    {
        double power = Math.Pow(10, Math.Floor(Math.Log10(rough)));
        return new[] { 1, 2, 2.5, 5, 10 }.Select(part => part * power).First(step => step >= rough * 0.999);
    }

    private static string Number(double value) => value.ToString("0.##", CultureInfo.InvariantCulture);
}
