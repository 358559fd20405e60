using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Hub.Ingest;
using KitMesh.Storage;
using KitMesh.Storage.Days;
using NodaTime;

namespace KitMesh.Hub.Days;

/// <summary>Writes this hub's reports of days that are over, so that they go ahead of the readings over thin links.</summary>
internal sealed class DayTeller(ReportIntake intake, MergedView view, StoreKeeper keeper, HubOptions options, HubClocks clocks) : IAsyncDisposable
{
    /// <summary>The most reports of one look.</summary>
    private const int Most = 1_024;

    /// <summary>How often it is looked whether a day ended.</summary>
    private static readonly TimeSpan Every = TimeSpan.FromMinutes(1);

    /// <summary>Without a new day, late readings are looked for this often.</summary>
    private const int LooksBetween = 10;

    private readonly CancellationTokenSource _stop = new();
    private Task _running = Task.CompletedTask;

    /// <summary>Begins.</summary>
    public void Start() => _running = Task.Run(RunAsync);

    /// <summary>Tells the days that are due now.</summary>
    /// <returns>How many reports were written.</returns>
    public async Task<int> TellAsync(CancellationToken cancellation)
    {
        IReadOnlyList<DayRolledUp> due;
        try
        {
            // With what was written at the last look, else that would be told twice.
            TripState state = (await view.FreshAsync(cancellation).ConfigureAwait(false)).State;
            due = await new DayTelling(options.Node, state, clocks.World.GetCurrentInstant()).DueAsync(keeper.Store, Most, cancellation).ConfigureAwait(false);
        }
        catch (StoreFaultedException)
        {
            return 0; // The next look finds the store again.
        }

        if (due.Count > 0)
        {
            await intake.WriteAsync(due, cancellation).ConfigureAwait(false);
        }

        return due.Count;
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync().ConfigureAwait(false);
        await _running.ConfigureAwait(false);
        _stop.Dispose();
    }

    private async Task RunAsync()
    {
        try
        {
            using var timer = new PeriodicTimer(Every, clocks.Machine);
            Instant told = Instant.MinValue;
            long version = -1;
            for (int looks = 0; await timer.WaitForNextTickAsync(_stop.Token).ConfigureAwait(false); looks++)
            {
                Instant newest = new DayTelling(options.Node, view.Now.State, clocks.World.GetCurrentInstant()).Newest.Until;
                if (newest == told && (looks % LooksBetween != 0 || version == view.Now.Version))
                {
                    continue;
                }

                version = view.Now.Version;
                told = newest;
                await TellAsync(_stop.Token).ConfigureAwait(false);
            }
        }
        catch (Exception end) when (end is OperationCanceledException or System.Threading.Channels.ChannelClosedException)
        {
            // The hub is stopping.
        }
    }
}
