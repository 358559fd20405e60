using System.Globalization;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>It is night where a team lives, and footage that should have more copies has one good copy or none.</summary>
/// <remarks>
/// Nightfall is sunset at the team's home: the last light in which a station is easily run, and hours before the evening by
/// which cards should be released. Clips whose
/// copy rule is met are left alone, also where the rule asks for one copy, and a copy whose proof is only too old is a copy.
/// </remarks>
public sealed class SingleCopyAtNightfall : IAlertRule
{
    private const int MostNamed = 5;

    /// <inheritdoc/>
    public string Name => "single-copy-at-nightfall";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "It is night, and footage has one good copy or none.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return (inputs.Ledger?.Days ?? [])
            .Where(day => day.OneCopyClips > 0 && IsNight(day, inputs))
            .GroupBy(day => day.Team!.Value)
            .Select(days => About(days.Key, [.. days.OrderByDescending(day => day.Day)]));
    }

    private static bool IsNight(DayRow day, AlertInputs inputs) =>
        day.Team is { } team && inputs.Nightfalls.TryGetValue(team, out Instant night) && day.Day <= night.WithOffset(inputs.Zone).Date;

    private static Finding About(KitId team, IReadOnlyList<DayRow> newestFirst)
    {
        DayRow[] named = [.. newestFirst.Take(MostNamed).OrderBy(day => day.Day)];
        string days = string.Join(", ", named.Select(day => day.Day.ToString("uuuu-MM-dd", CultureInfo.InvariantCulture)));
        string more = newestFirst.Count > MostNamed ? $" and {newestFirst.Count - MostNamed} days before" : "";
        int clips = newestFirst.Sum(day => day.OneCopyClips);
        int bare = newestFirst.Sum(day => day.NoCopyClips);
        string noun = clips == 1 ? "clip has" : "clips have";
        string none = bare == 0 ? "" : bare == clips ? " and even that is only on the card" : $"; of {bare} of them the card is all there is";
        return new Finding(
            team,
            Fires: true,
            $"{clips} {noun} one copy{none}: footage of {days}{more}.",
            $"Copy the footage of {days} to another drive tonight, and put that drive into another case. Format no card of these days.");
    }
}
