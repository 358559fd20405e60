using KitMesh.Domain.Reports;
using KitMesh.Hub.Ingest;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Seals;
using NodaTime;

namespace KitMesh.Hub.Seals;

/// <summary>Writes this hub's own seals.</summary>
/// <remarks>
/// A hub's links stay open, so there is no end of a session to wait for: what weighs is sealed a moment after it was written,
/// the rest by the thousand or the hour, and all that is open when a link to another hub begins.
/// </remarks>
internal sealed class SealKeeper : IAsyncDisposable
{
    /// <summary>Least time between two looks: what is written together is sealed together.</summary>
    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(1);

    /// <summary>Time alone makes a seal due, too.</summary>
    private static readonly TimeSpan LookEvery = TimeSpan.FromMinutes(10);

    private readonly ReportIntake _intake;
    private readonly OwnSeals _seals;
    private readonly HubClocks _clocks;
    private readonly BackgroundRun _run;
    private readonly SemaphoreSlim _one = new(1);
    private readonly long _started;

    public SealKeeper(ReportIntake intake, OwnSeals seals, HubClocks clocks)
    {
        (_intake, _seals, _clocks) = (intake, seals, clocks);
        _started = clocks.Machine.GetTimestamp();
        _run = new BackgroundRun(RunAsync);
    }

    /// <summary>Begins.</summary>
    public void Start() => _run.Start();

    /// <summary>Writes a seal when one is due.</summary>
    public async Task SealAsync(SealOccasion occasion, CancellationToken cancellation)
    {
        await _one.WaitAsync(cancellation).ConfigureAwait(false);
        try
        {
            if (_seals.Make(occasion, Duration.FromTimeSpan(_clocks.Machine.GetElapsedTime(_started))) is { } seal)
            {
                await _intake.WriteAsync(seal.At, cancellation).ConfigureAwait(false);
            }
        }
        finally
        {
            _one.Release();
        }
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => _run.DisposeAsync();

    private async Task RunAsync(CancellationToken stop)
    {
        while (true)
        {
            JournalPosition end = _intake.Journal.End;
            await SealAsync(SealOccasion.NothingMoreToSay, stop).ConfigureAwait(false);
            await Task.Delay(Pause, _clocks.Machine, stop).ConfigureAwait(false);
            using var either = CancellationTokenSource.CreateLinkedTokenSource(stop);
            await Task.WhenAny(
                _intake.Journal.WhenPastAsync(end, either.Token).AsTask(),
                Task.Delay(LookEvery, _clocks.Machine, either.Token)).ConfigureAwait(false);
            await either.CancelAsync().ConfigureAwait(false);
        }
    }
}
