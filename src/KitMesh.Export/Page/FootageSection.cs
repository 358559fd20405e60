using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Export.Account;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Export.Page;

/// <summary>Footage: by day and source, how safe it is, offloads, failed copies.</summary>
internal static class FootageSection
{
    private static readonly string[] Looks = ["b", "a", "d", "c", "e", "f"];

    internal static void Draw(HtmlPen pen, TripAccount account)
    {
        pen.Line("h2", "Footage by day and source");
        LocalDate[] days = [.. account.Footage.Select(sum => sum.Day).Distinct().Order()];
        string[] sources = [.. account.Footage.Select(sum => Name(sum)).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal)];
        Dictionary<(LocalDate, string), FootageSum> sums = account.Footage.ToDictionary(sum => (sum.Day, Name(sum)));
        double scale = account.Footage.Select(sum => sum.Size.Value).DefaultIfEmpty(0).Max() >= 1_000_000_000 ? 1e9 : 1e6;
        string unit = scale > 1e8 ? "GB" : "MB";
        if (sources.Length <= Looks.Length)
        {
            DayChart.Draw(pen, "Footage by day and source", unit, days, [.. sources.Select((source, at) => new DaySeries(source, Looks[at], [.. days.Select(day => (double?)(sums.GetValueOrDefault((day, source))?.Size.Value / scale ?? 0))]))]);
        }

        var table = new PageTable(["!Day", .. sources.Select(source => $">{source} {unit}"), $">All {unit}", ">Clips", ">Hours"]);
        foreach (LocalDate day in days)
        {
            FootageSum[] ours = [.. account.Footage.Where(sum => sum.Day == day)];
            table.Row([LocalDatePattern.Iso.Format(day), .. sources.Select(source => sums.TryGetValue((day, source), out FootageSum? sum) ? F($"{sum.Size.Value / scale:0.0}") : ""), .. All(ours, scale)]);
        }

        table.Foot(["All", .. sources.Select(source => F($"{account.Footage.Where(sum => Name(sum) == source).Sum(sum => sum.Size.Value) / scale:0.0}")), .. All(account.Footage, scale)]);
        table.Draw(pen, "No clip was found.");
        Safety(pen, account);
        Offloads(pen, account);
        Failed(pen, account);
    }

    private static string[] All(IReadOnlyList<FootageSum> sums, double scale) =>
    [
        F($"{sums.Sum(sum => sum.Size.Value) / scale:0.0}"), F($"{sums.Sum(sum => sum.Clips)}"), F($"{sums.Sum(sum => sum.Length.TotalHours):0.00}"),
    ];

    private static string Name(FootageSum sum) => sum.Source?.Value ?? "unknown source";

    private static void Safety(HtmlPen pen, TripAccount account)
    {
        pen.Line("h3", "How safe it is at the end");
        var table = new PageTable("!Day", "Team", ">Clips", ">Meet their rule", ">Fewest proven copies", ">Fewest cases");
        foreach (DayRow day in account.Safety)
        {
            table.Row(LocalDatePattern.Iso.Format(day.Day), day.Team?.Value ?? "unknown", F($"{day.Clips}"), F($"{day.ClipsMet}"), F($"{day.LeastCopies}"), F($"{day.LeastCases}"));
        }

        table.Draw(pen, "There is no footage of these days.");
        foreach (CardRow card in account.Cards)
        {
            pen.Line("p", $"{card.Card}: {card.Reason}");
        }
    }

    private static void Offloads(HtmlPen pen, TripAccount account)
    {
        pen.Line("h2", "Offloads: time and energy");
        var table = new PageTable("!Card in", "Card", "Station", ">Clips", ">Copies", ">Copied MB", ">Took", ">Copied MB/s", ">Station's energy Wh", ">Wh a GB copied");
        foreach (OffloadRun run in account.Offloads)
        {
            double seconds = run.Took.TotalSeconds;
            table.Row(
                AccountPage.Time(account, run.Begin), run.Card.Value, run.Station.Value, F($"{run.Clips}"), F($"{run.Copies}"), F($"{run.Size.Value / 1e6:0.0}"), Took(run.Took),
                seconds > 0 ? F($"{run.Size.Value / 1e6 / seconds:0.0}") : "–", run.Energy is { } energy ? F($"{energy.Value:0.0}") : "–", run is { Energy: { } spent, Size.Value: > 0 } ? F($"{spent.Value / run.Size.Gigabytes:0.00}") : "–");
        }

        WattHours[] metered = [.. account.Offloads.Select(run => run.Energy).OfType<WattHours>()];
        table.Foot(
            "All", "", "", F($"{account.Offloads.Sum(run => run.Clips)}"), F($"{account.Offloads.Sum(run => run.Copies)}"), F($"{account.Offloads.Sum(run => run.Size.Value) / 1e6:0.0}"),
            Took(account.Offloads.Aggregate(Duration.Zero, (sum, run) => sum + run.Took)), "", metered.Length > 0 ? F($"{metered.Sum(energy => energy.Value):0.0}") : "–", "");
        table.Draw(pen, "No card was offloaded.");
        pen.Line("p", "From the card's insertion to the last proof, waiting included. The energy is that of the load that is called like the station's node; it needs a meter that is read at least every two hours.", ("class", "small"));
    }

    private static void Failed(HtmlPen pen, TripAccount account)
    {
        pen.Line("h3", "Copies that failed");
        var table = new PageTable("!When", "Drive", "Card", "Failure", "Said");
        foreach (FailedCopyLine line in account.FailedCopies)
        {
            table.Row(AccountPage.Time(account, line.Time), line.Drive?.Value ?? "", line.Card?.Value ?? "", line.Failure.ToString(), line.Detail);
        }

        table.Draw(pen, "No copy failed.");
    }

    private static string Took(Duration span) => span.TotalHours >= 1 ? F($"{span.TotalHours:0.0} h") : span.TotalMinutes >= 1 ? F($"{span.TotalMinutes:0} min") : F($"{span.TotalSeconds:0} s");

    private static string F(FormattableString text) => FormattableString.Invariant(text);
}
