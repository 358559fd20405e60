using System.Diagnostics.Metrics;
using KitMesh.Hub.Grpc;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Views;
using KitMesh.Storage;
using KitMesh.Sync.Journal;

namespace KitMesh.Hub.Telemetry;

/// <summary>What the hub is like at the moment somebody asks: nothing is computed in between.</summary>
internal sealed class HubGauges
{
    /// <summary>Most teams whose news get a line of their own, by name.</summary>
    private const int MaxTeams = 32;

    /// <summary>Hangs the gauges on the hub's meter.</summary>
    public HubGauges(HubTelemetry telemetry, ReportIntake intake, MergedView view, StoreKeeper keeper, SessionHost sessions, AlertView alerts, HubOptions options, HubClocks clocks)
    {
        Meter meter = telemetry.Meter;
        meter.CreateObservableCounter("kitmesh.journal.commits", () => intake.Journal.Commits, "{commit}", "Writes with a sync. Reports received divided by it say how well they are grouped.");
        meter.CreateObservableUpDownCounter("kitmesh.reports.durable", () => Held(intake.Journal), "{report}", "Reports on disk here.");
        meter.CreateObservableUpDownCounter("kitmesh.reports.merged", () => view.Now.State.Counts.Values.Sum(), "{report}", "Reports in the merged state. When it stays below the durable ones, merging lags or stands.");
        meter.CreateObservableUpDownCounter("kitmesh.origins", () => intake.Journal.Have().Count, "{origin}", "Origins of which anything is held.");
        meter.CreateObservableUpDownCounter("kitmesh.sessions", () => sessions.Sessions, "{session}", "Sessions with agents and hubs now.");
        meter.CreateObservableGauge("kitmesh.store.open", () => IsOpen(keeper) ? 1 : 0, null, "1 while questions for reports can be answered; reports are taken either way.");
        meter.CreateObservableGauge("kitmesh.disk.free", () => new DriveInfo(Path.GetFullPath(options.DataFolder)).AvailableFreeSpace, "By", "Room left where the data folder lies.");
        meter.CreateObservableUpDownCounter("kitmesh.alerts.standing", () => Alerts(alerts), "{alert}", "Alerts that stand, by weight.");
        meter.CreateObservableGauge("kitmesh.team.news.age", () => News(view, clocks), "s", "How old the news of a team is.");
    }

    private static long Held(IJournalWriter journal)
    {
        ulong sum = 0;
        foreach (OriginHolding holding in journal.Have())
        {
            sum += holding.Kept.Numbers;
        }

        return (long)sum;
    }

    private static bool IsOpen(StoreKeeper keeper)
    {
        try
        {
            return keeper.Store is not null;
        }
        catch (StoreFaultedException)
        {
            return false;
        }
    }

    private static IEnumerable<Measurement<long>> Alerts(AlertView alerts)
    {
        ILookup<Domain.Results.AlertWeight, StandingAlert> standing = alerts.Standing().ToLookup(alert => alert.Alert.Weight);
        return Enum.GetValues<Domain.Results.AlertWeight>().Select(weight => new Measurement<long>(
            standing[weight].Count(),
            new KeyValuePair<string, object?>("weight", weight.ToString().ToLowerInvariant())));
    }

    private static IEnumerable<Measurement<double>> News(MergedView view, HubClocks clocks) => TeamNews
        .Of(view.Now.State, clocks.World.GetCurrentInstant())
        .Where(news => news.Age is not null)
        .Take(MaxTeams)
        .Select(news => new Measurement<double>(news.Age!.Value.TotalSeconds, new KeyValuePair<string, object?>("team", news.Team.Value)));
}
