using KitMesh.Domain.State;
using KitMesh.Hub.Ingest;
using KitMesh.Storage;
using KitMesh.Storage.Postgres;

namespace KitMesh.Hub.SelfTest;

/// <summary>Whether a database that was named can be used. Nothing in it is changed.</summary>
internal static class StoreCheck
{
    private const string Check = "store";

    /// <summary>One line; none for the embedded store, which lies in the data folder.</summary>
    public static async Task<IReadOnlyList<CheckLine>> LookAsync(HubOptions options, HubClocks clocks, CancellationToken cancellation)
    {
        if (options.Database is not { } address)
        {
            return [];
        }

        try
        {
            return [CheckLine.Right(Check, await PostgresProbe.LookAsync(StoreKeeper.OptionsFor(address, new StoreStamp(0, (int)TripState.FoldVersion), clocks.World), cancellation).ConfigureAwait(false))];
        }
        catch (StoreFaultedException fault) when (fault.MayPass)
        {
            return [CheckLine.Look(Check, fault.Message, "The hub starts without it, takes reports into its journal, and answers from them when the database is back.")];
        }
        catch (StoreFaultedException fault)
        {
            return [CheckLine.Wrong(Check, fault.Message, "The hub does not start before this is mended.")];
        }
    }
}
