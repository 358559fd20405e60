using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Storage.RollUps;
using NodaTime;

namespace KitMesh.Storage.Days;

// Problem: each closed day is to be told once, by the hub that the team's devices speak to, and again when late readings make it more.
// Traps: every hub ends up with all readings, so all of them would tell all days; two hubs that answer each other would never end.
// Method: a hub that the trip file gives to a team leaves other teams' things alone. What somebody told with as many readings behind it
// is told. Where another hub speaks of a thing, that one is given six hours. A day that was told is told again after an hour at the
// soonest. So hubs with the same readings fall silent, whoever began.

/// <summary>Finds the days that a hub has to tell.</summary>
/// <param name="node">The hub.</param>
/// <param name="state">The merged state.</param>
/// <param name="now">World time.</param>
public sealed class DayTelling(NodeId node, TripState state, Instant now)
{
    /// <summary>How far back days are looked at.</summary>
    public const int MostDaysBack = 60;

    /// <summary>A day is told no sooner than this after its end: agents send the last readings a little later.</summary>
    public static readonly Duration Grace = Duration.FromMinutes(15);

    /// <summary>A told day is told again, with more readings, no sooner than this.</summary>
    public static readonly Duration Again = Duration.FromHours(1);

    /// <summary>A thing that another hub speaks of is left to it for this long after the day's end.</summary>
    public static readonly Duration Deference = Duration.FromHours(6);

    private readonly Offset _zone = state.KitOf<Trip>().FirstOrDefault()?.ZoneOffset ?? Offset.Zero;

    /// <summary>The newest day that is over.</summary>
    public CrewDay Newest => CrewDay.Of(CrewDay.Holding(now - Grace, _zone).Day.PlusDays(-1), _zone);

    /// <summary>Reports to write, oldest day first: over a thin link the newest go first, and of one origin that is the last one.</summary>
    /// <param name="store">Has the hours.</param>
    /// <param name="most">The most reports; the next look brings more.</param>
    /// <param name="cancellation">Gives up.</param>
    public async Task<IReadOnlyList<DayRolledUp>> DueAsync(IReportStore store, int most, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(store);
        var told = ToldDays.Of(state, _zone);
        Instant from = CrewDay.Of(Newest.Day.PlusDays(1 - MostDaysBack), _zone).From;
        HashSet<KitId> othersSpeakOf = [.. state.ToldDays.Keys.Where(day => day.Origin.Node != node).Select(day => day.Item)];
        Func<KitId, bool> isOurs = Ours();
        List<DayRolledUp> due = [];
        foreach (IGrouping<KitId, SeriesKey> item in (await store.ListSeriesAsync(cancellation).ConfigureAwait(false)).Where(key => isOurs(key.Item)).GroupBy(key => key.Item))
        {
            List<DayFigure> figures = [];
            foreach (SeriesKey series in item.Take(DayRolledUp.MostLines))
            {
                IReadOnlyList<RollUp> hours = await store.ReadRollUpsAsync(new RollUpQuery(series, RollUpSpan.Hour, from, Newest.Until), cancellation).ConfigureAwait(false);
                figures.AddRange(DayFigure.OfHours(series, hours, _zone));
            }

            due.AddRange(figures
                .GroupBy(figure => figure.Day)
                .Where(day => day.Any(figure => !IsTold(told, figure)) && MaySpeak(item.Key, day.Key, othersSpeakOf.Contains(item.Key)))
                .Select(day => new DayRolledUp(item.Key, day.Key.From, day.Key.Until, day.Select(figure => figure.ToLine()).ToValueList())));
        }

        return [.. due.OrderByDescending(day => day.From).ThenBy(day => day.Item).Take(most).Reverse()];
    }

    private static bool IsTold(ToldDays told, DayFigure figure) =>
        told.DaysOf(figure.Series).Any(day => day.Day.From == figure.Day.From && day.Samples >= figure.Samples);

    private bool MaySpeak(KitId item, CrewDay day, bool anotherSpeaks)
    {
        bool isRecent = state.ToldDays.Any(told => told.Key.Item == item && told.Key.From == day.From && told.Key.Origin.Node == node && now - told.Value.Time < Again);
        return !isRecent && (!anotherSpeaks || now - day.Until >= Deference);
    }

    private Func<KitId, bool> Ours()
    {
        KitItem[] kit = [.. state.Kit];
        if (kit.OfType<WatchedAgent>().FirstOrDefault(agent => agent.Node == node)?.Team is not { } team)
        {
            return _ => true;
        }

        IReadOnlyDictionary<string, KitId> owners = KitOwners.Of(kit, state);
        return item => !owners.TryGetValue(item.Value, out KitId owner) || owner == team;
    }
}
