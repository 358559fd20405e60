using KitMesh.Alerts;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Ingest;
using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>The alerts that this hub finds, stepped whenever the state changes and at least every half minute.</summary>
internal sealed class AlertView(MergedView view, FailedCopies failedCopies, AlertMemory memory, HubClocks clocks) : IAsyncDisposable
{
    private static readonly TimeSpan Every = TimeSpan.FromSeconds(30);
    private static readonly LedgerQuery NoClips = new(Limit: 0);
    private readonly SemaphoreSlim _one = new(1);
    private readonly CancellationTokenSource _stop = new();
    private readonly RunwayView _runway = new(clocks.Machine);
    private AlertBook _book = AlertBook.Empty;
    private bool _loaded;
    private (long Version, Instant At) _judged = (-1, Instant.MinValue);
    private Task _running = Task.CompletedTask;

    /// <summary>Starts to judge in the background, so that "since" is when it began and not when somebody asked.</summary>
    public void Start() => _running = Task.Run(FollowAsync);

    /// <summary>What stands now, heaviest first, then oldest: what this hub finds, and what agents told and this hub cannot see.</summary>
    public async Task<IReadOnlyList<StandingAlert>> StandingAsync(CancellationToken cancellation)
    {
        await StepAsync(cancellation).ConfigureAwait(false);
        return Standing();
    }

    /// <summary>The same as it was judged last, without judging anew.</summary>
    public IReadOnlyList<StandingAlert> Standing() => StandingAlerts.Of(Volatile.Read(ref _book), view.Now.State);

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync().ConfigureAwait(false);
        await _running.ConfigureAwait(false);
        _one.Dispose();
        _stop.Dispose();
    }

    private async Task FollowAsync()
    {
        try
        {
            while (true)
            {
                using var either = CancellationTokenSource.CreateLinkedTokenSource(_stop.Token);
                Task changed = view.WhenChangedAsync(either.Token);
                await StepAsync(_stop.Token).ConfigureAwait(false);
                await Task.WhenAny(changed, Task.Delay(Every, clocks.Machine, either.Token)).ConfigureAwait(false);
                await either.CancelAsync().ConfigureAwait(false);
                _stop.Token.ThrowIfCancellationRequested();
            }
        }
        catch (OperationCanceledException)
        {
            // The hub is stopping.
        }
    }

    private async Task StepAsync(CancellationToken cancellation)
    {
        await _one.WaitAsync(cancellation).ConfigureAwait(false);
        try
        {
            Instant now = clocks.World.GetCurrentInstant();
            MergedSnapshot merged = view.Now;
            if (_judged == (merged.Version, now))
            {
                return;
            }

            if (!_loaded)
            {
                _book = memory.Load();
                _loaded = true;
            }

            LedgerSnapshot ledger = view.LedgerAt(now);
            LedgerView seen = ledger.View(NoClips);
            AlertInputs inputs = AlertInputsBuilder.Build(
                now,
                merged.State,
                view.Packs.All,
                seen,
                await failedCopies.FindAsync(ledger, cancellation).ConfigureAwait(false),
                _runway.At(now, merged.State.KitOf<Trip>().Count() == 1, ledger, seen),
                view.ClockDoubts,
                view.Seals);
            Volatile.Write(ref _book, _book.Step(AlertCatalogue.All, inputs, out _));
            memory.Save(_book);
            _judged = (merged.Version, now);
        }
        finally
        {
            _one.Release();
        }
    }
}
