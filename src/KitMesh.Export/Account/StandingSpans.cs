using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>How long alerts, faults and silences stood.</summary>
internal static class StandingSpans
{
    internal static IEnumerable<StandingSpan> Alerts(IEnumerable<TimedReport> events, ScopeSpan span) => Pair(
        events.Where(timed => timed.Report.Body is AlertChanged).Select(timed => (timed, (AlertChanged)timed.Report.Body)).Select(pair => new Turn(
            pair.timed.Time, pair.Item2.Rule, pair.Item2.Subject.Value, pair.timed.Report.Key.Origin.Node.Value, pair.Item2.Raised, pair.Item2.Message)),
        span);

    /// <summary>What the hub found by itself; a condition that an agent told while it stood is not told twice.</summary>
    internal static IEnumerable<StandingSpan> Hub(IEnumerable<HubAlert> alerts, IEnumerable<TimedReport> events, ScopeSpan span)
    {
        HashSet<(string, string)> told = [.. events.Select(timed => timed.Report.Body).OfType<AlertChanged>().Select(alert => (alert.Rule, alert.Subject.Value))];
        return alerts
            .Where(alert => !told.Contains((alert.Rule, alert.Subject.Value)))
            .Select(alert => span.Inside(alert.Since, alert.Until) is { } stood && span.IsOurs(alert.Subject.Value, "hub")
                ? new StandingSpan(alert.Rule, alert.Subject.Value, "hub", alert.Since, alert.Until, alert.Words, stood)
                : null)
            .OfType<StandingSpan>();
    }

    internal static IEnumerable<StandingSpan> Faults(IEnumerable<TimedReport> events, ScopeSpan span) => Pair(
        events.Where(timed => timed.Report.Body is ReaderFault).Select(timed => (timed, (ReaderFault)timed.Report.Body)).Select(pair => new Turn(
            pair.timed.Time, pair.Item2.Reader, pair.Item2.Subject?.Value ?? "", pair.timed.Report.Key.Origin.Node.Value, !pair.Item2.Cleared, pair.Item2.Message)),
        span);

    /// <summary>Gaps longer than the trip file allows between an agent's reports, from the first day on and up to the newest report of all.</summary>
    internal static IEnumerable<StandingSpan> Silences(AccountFeed feed, KitItem[] kit, ScopeSpan span)
    {
        var silences = new List<StandingSpan>();
        Instant start = kit.OfType<Trip>().Single().FirstDay.AtMidnight().WithOffset(span.Zone).ToInstant();
        foreach (WatchedAgent agent in kit.OfType<WatchedAgent>().Where(agent => span.IsOurs(agent.Team)))
        {
            Instant before = start;
            foreach (Instant time in feed.Heard(agent.Node).Where(time => time > start).Append(Instant.MaxValue))
            {
                Instant? until = time == Instant.MaxValue ? null : time;
                Instant last = before;
                before = time;
                if ((until ?? feed.Newest) - last > agent.SilentAfter && span.Inside(last, until) is { } stood && stood > Duration.Zero)
                {
                    silences.Add(new StandingSpan("silent", agent.Node.Value, agent.Team.Value, last, until, Allowed(agent), stood));
                }
            }
        }

        return silences.OrderBy(silence => silence.Since).ThenBy(silence => silence.Subject, StringComparer.Ordinal);
    }

    private static string Allowed(WatchedAgent agent) => FormattableString.Invariant($"silent counts from {agent.SilentAfter.TotalHours:0.#} h");

    private readonly record struct Turn(Instant Time, string What, string Subject, string By, bool Raised, string Words);

    // Raised twice in a row is one span, as with an agent that starts again and tells what still stands.
    private static IEnumerable<StandingSpan> Pair(IEnumerable<Turn> turns, ScopeSpan span)
    {
        var open = new Dictionary<(string, string, string), Turn>();
        var spans = new List<StandingSpan>();
        void Close(Turn raised, Instant? until)
        {
            if (span.Inside(raised.Time, until) is { } stood && span.IsOurs(raised.Subject, raised.By))
            {
                spans.Add(new StandingSpan(raised.What, raised.Subject, raised.By, raised.Time, until, raised.Words, stood));
            }
        }

        foreach (Turn turn in turns)
        {
            (string, string, string) key = (turn.What, turn.Subject, turn.By);
            if (turn.Raised)
            {
                open.TryAdd(key, turn);
            }
            else if (open.Remove(key, out Turn raised))
            {
                Close(raised, turn.Time);
            }
        }

        foreach (Turn standing in open.Values)
        {
            Close(standing, null);
        }

        return spans.OrderBy(one => one.Since).ThenBy(one => one.What, StringComparer.Ordinal).ThenBy(one => one.Subject, StringComparer.Ordinal);
    }
}
