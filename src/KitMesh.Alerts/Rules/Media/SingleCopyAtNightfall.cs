using System.Globalization;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>It is night where a team lives, and footage that should have more copies has one proven copy or none.</summary>
/// <remarks>
/// Nightfall is sunset at the team's home: the last light in which a station is easily run, and hours before the evening by
/// which cards should be released. Days whose copy rule is met are left alone, also where the rule asks for one copy.
/// </remarks>
public sealed class SingleCopyAtNightfall : IAlertRule
{
    private const int MostNamed = 5;

    /// <inheritdoc/>
    public string Name => "single-copy-at-nightfall";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "It is night, and footage has one proven copy or none.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return (inputs.Ledger?.Days ?? [])
            .Where(day => day.ClipsMet < day.Clips && day.LeastCopies <= 1 && IsNight(day, inputs))
            .GroupBy(day => day.Team!.Value)
            .Select(days => About(days.Key, [.. days.OrderByDescending(day => day.Day)]));
    }

    private static bool IsNight(DayRow day, AlertInputs inputs) =>
        day.Team is { } team && inputs.Nightfalls.TryGetValue(team, out Instant night) && day.Day <= night.WithOffset(inputs.Zone).Date;

    private static Finding About(KitId team, IReadOnlyList<DayRow> days)
    {
        string named = string.Join(", ", days.Take(MostNamed).Select(day => day.Day.ToString("uuuu-MM-dd", CultureInfo.InvariantCulture)));
        string more = days.Count > MostNamed ? $" and {days.Count - MostNamed} more days" : "";
        return new Finding(
            team,
            Fires: true,
            $"Footage of {named}{more} has {(days.Any(day => day.LeastCopies == 0) ? "no proven copy but the card" : "one proven copy only")}: one mishap in the night and it is gone.",
            "Copy it to another drive tonight and put that drive into another case. Format no card of these days.");
    }
}
