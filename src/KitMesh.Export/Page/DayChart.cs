using System.Globalization;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Export.Page;

/// <summary>One series of a chart: a value a day; null where nothing was measured.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Class">Its look in the style sheet.</param>
/// <param name="Values">By day.</param>
internal sealed record DaySeries(string Name, string Class, IReadOnlyList<double?> Values);

// Problem: a chart that prints, reads without colour, works without scripts and comes out the same each time.
// Method: bars side by side for each day, each series with a pattern of its own; a spread is a thin box from the lower to the upper value with a line at the median.
// Where nothing was measured stands no bar, and a dash under the axis says so.

/// <summary>Draws bars by day as inline SVG.</summary>
internal static class DayChart
{
    private const double Width = 720;
    private const double Height = 200;
    private const double Left = 52;
    private const double Bottom = 34;
    private const double Top = 22;

    private static readonly LocalDatePattern Day = LocalDatePattern.CreateWithInvariantCulture("MM-dd");

    /// <summary>Draws.</summary>
    /// <param name="pen">Where.</param>
    /// <param name="title">What is shown, for those who cannot see it.</param>
    /// <param name="unit">The unit at the axis.</param>
    /// <param name="days">The days.</param>
    /// <param name="series">Bars.</param>
    /// <param name="spreads">Spreads drawn behind the first series; null for none.</param>
    internal static void Draw(
        HtmlPen pen, string title, string unit, IReadOnlyList<LocalDate> days, IReadOnlyList<DaySeries> series, IReadOnlyList<(double Low, double Middle, double High)?>? spreads = null)
    {
        series = [.. series.Where(one => one.Values.Any(value => value is not null))];
        double most = series.SelectMany(one => one.Values).Concat(spreads?.Select(spread => spread?.High) ?? []).Max() ?? 0;
        if (days.Count == 0 || series.Count == 0 || !(most > 0))
        {
            return;
        }

        double top = Ceiling(most);
        double step = (Width - Left - 8) / days.Count;
        double Y(double value) => Top + ((Height - Top - Bottom) * (1 - (value / top)));
        pen.Open("figure").Open("svg", ("viewBox", F($"0 0 {Width} {Height}")), ("role", "img"), ("aria-label", title));
        for (int i = 0; i <= 4; i++)
        {
            double value = top * i / 4;
            pen.Void("line", ("class", "grid"), ("x1", F($"{Left}")), ("x2", F($"{Width - 8}")), ("y1", F($"{Y(value):0.#}")), ("y2", F($"{Y(value):0.#}")));
            pen.Line("text", value.ToString("0.##", CultureInfo.InvariantCulture), ("x", F($"{Left - 5}")), ("y", F($"{Y(value) + 3.5:0.#}")), ("text-anchor", "end"));
        }

        pen.Line("text", unit, ("x", "2"), ("y", "11"));
        int every = Math.Max(1, (int)Math.Ceiling(42 / step));
        for (int i = 0; i < days.Count; i++)
        {
            double x = Left + (i * step);
            if (i % every == 0)
            {
                pen.Line("text", Day.Format(days[i]), ("x", F($"{x + (step / 2):0.#}")), ("y", F($"{Height - Bottom + 15}")), ("text-anchor", "middle"));
            }

            Bars(pen, days[i], i, x, step, series, unit, Y);
            if (spreads?[i] is { } spread)
            {
                Spread(pen, spread, x, step, Y);
            }
        }

        pen.Close().Open("figcaption").Text(title + ": ");
        foreach (DaySeries one in series)
        {
            pen.Open("span", ("class", "key")).Open("svg", ("viewBox", "0 0 14 10"), ("width", "14"), ("height", "10")).Void("rect", ("class", one.Class), ("width", "14"), ("height", "10")).Close().Text(" " + one.Name).Close();
        }

        if (spreads is not null)
        {
            pen.Open("span", ("class", "key")).Text("▯ forecast of that morning, 8 in 10 inside, line at the median").Close();
        }

        pen.Close().Close();
    }

    private static void Bars(HtmlPen pen, LocalDate day, int at, double x, double step, IReadOnlyList<DaySeries> series, string unit, Func<double, double> y)
    {
        double wide = step * 0.84 / series.Count;
        for (int j = 0; j < series.Count; j++)
        {
            double left = x + (step * 0.08) + (j * wide);
            if (series[j].Values[at] is { } value)
            {
                double height = Math.Max(0, y(0) - y(Math.Max(0, value)));
                pen.Open("rect", ("class", series[j].Class), ("x", F($"{left:0.##}")), ("y", F($"{y(0) - height:0.##}")), ("width", F($"{Math.Max(0.8, wide - 0.6):0.##}")), ("height", F($"{height:0.##}")));
                pen.Line("title", F($"{Day.Format(day)}, {series[j].Name}: {value:0.##} {unit}")).Close();
            }
            else
            {
                pen.Line("text", "–", ("x", F($"{left + (wide / 2):0.#}")), ("y", F($"{y(0) + 5:0.#}")), ("text-anchor", "middle"), ("class", "none"));
            }
        }
    }

    private static void Spread(HtmlPen pen, (double Low, double Middle, double High) spread, double x, double step, Func<double, double> y)
    {
        string left = F($"{x + (step * 0.02):0.##}");
        string right = F($"{x + (step * 0.98):0.##}");
        pen.Void("rect", ("class", "spread"), ("x", left), ("y", F($"{y(spread.High):0.##}")), ("width", F($"{step * 0.96:0.##}")), ("height", F($"{Math.Max(0.5, y(spread.Low) - y(spread.High)):0.##}")));
        pen.Void("line", ("class", "middle"), ("x1", left), ("x2", right), ("y1", F($"{y(spread.Middle):0.##}")), ("y2", F($"{y(spread.Middle):0.##}")));
    }

    // The next of 1, 2, 4, 5, 8, 10 times a power of ten.
    private static double Ceiling(double most)
    {
        double power = Math.Pow(10, Math.Floor(Math.Log10(most)));
        return new[] { 1.0, 2, 4, 5, 8, 10 }.First(step => step * power >= most * 0.999999) * power;
    }

    private static string F(FormattableString text) => FormattableString.Invariant(text);
}
