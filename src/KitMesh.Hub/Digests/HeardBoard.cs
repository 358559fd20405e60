using KitMesh.Alerts;
using KitMesh.Domain.Digest;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using NodaTime;

namespace KitMesh.Hub.Digests;

/// <summary>The digest lines that were heard, the newest of each team.</summary>
internal static class HeardBoard
{
    private static readonly Duration ClockDoubt = Duration.FromMinutes(15);

    /// <summary>The newest line of every team, by team.</summary>
    /// <remarks>A line from the future by its own clock counts as made when it was typed, so that it cannot hide the lines that follow.</remarks>
    public static IReadOnlyList<HeardNews> Of(TripState state, Instant now)
    {
        DigestNames names = Names(state);
        return
        [
            .. state.Digests
                .Select(entry => (Heard: entry.Value, At: entry.Key.Time, Read: DigestLine.Read(entry.Value.Line) as DigestReading.Read))
                .Where(entry => entry.Read is not null)
                .GroupBy(entry => entry.Read!.Content.Team)
                .Select(group => group.MaxBy(entry => (Believed(entry.Read!.Content.MadeAt, entry.At), entry.At)))
                .Select(entry => Show(entry.Heard, entry.At, entry.Read!.Content, names, now))
                .OrderBy(news => news.Team, StringComparer.Ordinal),
        ];
    }

    /// <summary>The names that lines of this trip stand for.</summary>
    public static DigestNames Names(TripState state) => new(state.Kit, AlertCatalogue.All.Select(rule => rule.Name));

    /// <summary>One line as it is shown.</summary>
    public static HeardNews Show(DigestHeard heard, Instant heardAt, DigestContent content, DigestNames names, Instant now) => new(
        heard.Line,
        names.Team(content.Team),
        content.MadeAt,
        heardAt,
        heard.Author,
        DigestWords.Age(content.MadeAt, now),
        DigestWords.Of(content, names));

    private static Instant Believed(Instant madeAt, Instant heardAt) => madeAt > heardAt + ClockDoubt ? heardAt : madeAt;
}
