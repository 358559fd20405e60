using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Outlook.Debrief;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>Puts an account together from reports alone: the same reports give the same account, whoever holds them.</summary>
public static class TripAccounts
{
    /// <summary>The account.</summary>
    /// <param name="feed">Every report.</param>
    /// <param name="state">Their fold; declares exactly one trip.</param>
    /// <param name="scope">Which days and whose.</param>
    /// <param name="forecastPaths">Paths of each morning's forecast; 0 asks for none.</param>
    /// <param name="hubAlerts">Alerts that a hub stood by, as replayed.</param>
    public static TripAccount Of(AccountFeed feed, TripState state, AccountScope scope, int forecastPaths, IReadOnlyList<HubAlert>? hubAlerts = null)
    {
        ArgumentNullException.ThrowIfNull(feed);
        ArgumentNullException.ThrowIfNull(state);
        ArgumentNullException.ThrowIfNull(scope);
        KitItem[] kit = [.. state.Kit];
        Trip trip = kit.OfType<Trip>().Single();
        var span = new ScopeSpan(scope, trip.ZoneOffset, feed.Newest, KitOwners.Of(kit, state));
        TimedReport[] events = [.. feed.Events.Order()];
        var loads = feed.Readings.Where(reading => reading.Body is LoadReading).ToLookup(reading => ((LoadReading)reading.Body).Load);
        LedgerView ledger = feed.Ledger.Now(feed.Newest).View(new LedgerQuery(Limit: 0));
        TripDebrief energy = TripDebriefs.Answer(
            new DebriefQuestion(kit.ToValueList(), feed.Readings.ToValueList(), scope.From, scope.To, forecastPaths, Team: scope.Team));
        var account = new TripAccount(
            trip.Id,
            scope,
            trip.ZoneOffset,
            feed.Newest,
            feed.Count,
            StateFingerprint.Of(state).ToString(),
            energy,
            FootageSums.Of(events, kit, span).ToValueList(),
            ledger.Days.Where(day => scope.Holds(day.Day) && span.IsOurs(day.Team)).ToValueList(),
            ledger.Cards.Where(card => card.State is CardState.OnHold or CardState.FormattedShort && span.IsOurs(card.Team)).ToValueList(),
            OffloadRuns.Of(events, kit, loads, span).ToValueList(),
            Failed(events, span).ToValueList(),
            StandingSpans.Alerts(events, span).Concat(StandingSpans.Hub(hubAlerts ?? [], events, span)).OrderBy(alert => alert.Since).ThenBy(alert => alert.What, StringComparer.Ordinal).ToValueList(),
            StandingSpans.Faults(events, span).ToValueList(),
            StandingSpans.Silences(feed, kit, span).ToValueList(),
            []);
        return account with { Changes = ChangesNext.Of(account, kit).ToValueList() };
    }

    private static IEnumerable<FailedCopyLine> Failed(IEnumerable<TimedReport> events, ScopeSpan span)
    {
        foreach (TimedReport timed in events)
        {
            if (timed.Report.Body is CopyFailed failed && span.Holds(timed.Time) && span.IsOurs((failed.Drive ?? failed.Card)?.Value, timed.Report.Key.Origin.Node.Value))
            {
                yield return new FailedCopyLine(timed.Time, failed.Drive, failed.Card, failed.Failure, failed.Detail);
            }
        }
    }
}
