using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Hub.Ingest;
using KitMesh.Storage;
using KitMesh.Storage.Days;
using KitMesh.Storage.RollUps;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>Reads what devices took by day from the store's roll-ups, most first.</summary>
internal sealed class LoadBuilder(StoreKeeper keeper)
{
    /// <summary>The most devices of all banks together that are looked up.</summary>
    private const int MostLoads = 200;

    /// <summary>The rows by bank; empty while the store is being rebuilt.</summary>
    public async Task<ILookup<KitId, LoadRow>> RowsAsync(TripState state, Instant now, Offset zone, CancellationToken cancellation)
    {
        List<(KitId Bank, LoadRow Row)> rows = [];
        var told = ToldDays.Of(state, zone);
        try
        {
            foreach (Load load in state.KitOf<Load>().OrderBy(load => load.Id).Take(MostLoads))
            {
                IReadOnlyList<RollUp> watts = await HoursAsync(load.Id, SeriesQuantity.LoadWatts, now, zone, cancellation).ConfigureAwait(false);
                IReadOnlyList<RollUp> counter = await HoursAsync(load.Id, SeriesQuantity.LoadEnergyTotal, now, zone, cancellation).ConfigureAwait(false);
                IReadOnlyList<RollUp> charge = await HoursAsync(load.Id, SeriesQuantity.LoadCharge, now, zone, cancellation).ConfigureAwait(false);
                rows.Add((load.Bank, LoadDesk.Of(load, watts, counter, charge, now, zone, told)));
            }
        }
        catch (StoreFaultedException)
        {
            return Array.Empty<LoadRow>().ToLookup(row => row.Load);
        }

        return rows.OrderByDescending(row => (row.Row.Mean ?? row.Row.Declared).Value).ToLookup(row => row.Bank, row => row.Row);
    }

    private Task<IReadOnlyList<RollUp>> HoursAsync(KitId load, SeriesQuantity quantity, Instant now, Offset zone, CancellationToken cancellation) =>
        keeper.Store.ReadRollUpsAsync(new RollUpQuery(new SeriesKey(load, quantity), RollUpSpan.Hour, LoadDesk.Since(now, zone), now), cancellation);
}
