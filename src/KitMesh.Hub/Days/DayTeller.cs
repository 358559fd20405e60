using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Hub.Ingest;
using KitMesh.Storage;
using KitMesh.Storage.Days;
using NodaTime;

namespace KitMesh.Hub.Days;

/// <summary>Writes this hub's reports of days that are over, so that they go ahead of the readings over thin links.</summary>
internal sealed class DayTeller : IAsyncDisposable
{
    /// <summary>The most reports of one look.</summary>
    private const int Most = 1_024;

    /// <summary>How often it is looked whether a day ended.</summary>
    private static readonly TimeSpan Every = TimeSpan.FromMinutes(1);

    /// <summary>Without a new day, late readings are looked for this often.</summary>
    private const int LooksBetween = 10;

    private readonly ReportIntake _intake;
    private readonly MergedView _view;
    private readonly StoreKeeper _keeper;
    private readonly HubOptions _options;
    private readonly HubClocks _clocks;
    private readonly BackgroundRun _run;

    public DayTeller(ReportIntake intake, MergedView view, StoreKeeper keeper, HubOptions options, HubClocks clocks)
    {
        (_intake, _view, _keeper, _options, _clocks) = (intake, view, keeper, options, clocks);
        _run = new BackgroundRun(RunAsync);
    }

    /// <summary>Begins.</summary>
    public void Start() => _run.Start();

    /// <summary>Tells the days that are due now.</summary>
    /// <returns>How many reports were written.</returns>
    public async Task<int> TellAsync(CancellationToken cancellation)
    {
        IReadOnlyList<DayRolledUp> due;
        try
        {
            // With what was written at the last look, else that would be told twice.
            TripState state = (await _view.FreshAsync(cancellation).ConfigureAwait(false)).State;
            due = await new DayTelling(_options.Node, state, _clocks.World.GetCurrentInstant()).DueAsync(_keeper.Store, Most, cancellation).ConfigureAwait(false);
        }
        catch (StoreFaultedException)
        {
            return 0; // The next look finds the store again.
        }

        if (due.Count > 0)
        {
            await _intake.WriteAsync(due, cancellation).ConfigureAwait(false);
        }

        return due.Count;
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => _run.DisposeAsync();

    private async Task RunAsync(CancellationToken stop)
    {
        using var timer = new PeriodicTimer(Every, _clocks.Machine);
        Instant told = Instant.MinValue;
        long version = -1;
        for (int looks = 0; await timer.WaitForNextTickAsync(stop).ConfigureAwait(false); looks++)
        {
            Instant newest = new DayTelling(_options.Node, _view.Now.State, _clocks.World.GetCurrentInstant()).Newest.Until;
            if (newest == told && (looks % LooksBetween != 0 || version == _view.Now.Version))
            {
                continue;
            }

            version = _view.Now.Version;
            told = newest;
            await TellAsync(stop).ConfigureAwait(false);
        }
    }
}
