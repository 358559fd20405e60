using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Hub.Ingest;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Storage.Queries;

namespace KitMesh.Hub.Views;

/// <summary>The readings that an outlook learns from: the newest of everything, and the history as far as it is worth reading.</summary>
internal sealed class ReadingHistory(StoreKeeper keeper)
{
    /// <summary>The most readings of the history: four weeks of a dozen sensors, every ten minutes.</summary>
    private const int Most = 50_000;

    /// <summary>All readings for an outlook.</summary>
    public async Task<ValueList<TimedReading>> ReadAsync(TripState state, CancellationToken cancellation)
    {
        List<TimedReading> readings =
        [
            .. state.Batteries.Values.Select(latest => new TimedReading(latest.Time, latest.Body)),
            .. state.Temperatures.Values.Select(latest => new TimedReading(latest.Time, latest.Body)),
            .. state.Panels.Values.Select(latest => new TimedReading(latest.Time, latest.Body)),
            .. state.Loads.Values.Select(latest => new TimedReading(latest.Time, latest.Body)),
        ];
        try
        {
            await AddHistoryAsync(readings, cancellation).ConfigureAwait(false);
        }
        catch (StoreFaultedException)
        {
            // The latest readings are in the merged state; an outlook from them alone is wider and still right.
        }

        return readings.ToValueList();
    }

    private async Task AddHistoryAsync(List<TimedReading> readings, CancellationToken cancellation)
    {
        var query = new ReportQuery(
            Kinds: [ReportKind.BatteryReading, ReportKind.TemperatureReading, ReportKind.PanelReading, ReportKind.LoadReading],
            Limit: StoreLimits.MaxPage,
            NewestFirst: true);
        for (int read = 0; read < Most;)
        {
            ReportPage page = await keeper.Store.ReadAsync(query, cancellation).ConfigureAwait(false);
            readings.AddRange(page.Reports.Select(kept => new TimedReading(kept.Time, ReportCodec.Decode(kept.Raw).Body)));
            read += page.Reports.Count;
            if (page.Next is null)
            {
                return;
            }

            query = query with { After = page.Next };
        }
    }
}
