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
internal sealed class SealKeeper(ReportIntake intake, OwnSeals seals, HubClocks clocks) : IAsyncDisposable
{
    /// <summary>Least time between two looks: what is written together is sealed together.</summary>
    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(1);

    /// <summary>Time alone makes a seal due, too.</summary>
    private static readonly TimeSpan LookEvery = TimeSpan.FromMinutes(10);

    private readonly CancellationTokenSource _stop = new();
    private readonly SemaphoreSlim _one = new(1);
    private readonly long _started = clocks.Machine.GetTimestamp();
    private Task _running = Task.CompletedTask;

    /// <summary>Begins.</summary>
    public void Start() => _running = Task.Run(RunAsync);

    /// <summary>Writes a seal when one is due.</summary>
    public async Task SealAsync(SealOccasion occasion, CancellationToken cancellation)
    {
        await _one.WaitAsync(cancellation).ConfigureAwait(false);
        try
        {
            if (seals.Make(occasion, Duration.FromTimeSpan(clocks.Machine.GetElapsedTime(_started))) is { } seal)
            {
                await intake.WriteAsync(seal.At, cancellation).ConfigureAwait(false);
            }
        }
        finally
        {
            _one.Release();
        }
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
            while (true)
            {
                JournalPosition end = intake.Journal.End;
                await SealAsync(SealOccasion.NothingMoreToSay, _stop.Token).ConfigureAwait(false);
                await Task.Delay(Pause, clocks.Machine, _stop.Token).ConfigureAwait(false);
                using var either = CancellationTokenSource.CreateLinkedTokenSource(_stop.Token);
                await Task.WhenAny(
                    intake.Journal.WhenPastAsync(end, either.Token).AsTask(),
                    Task.Delay(LookEvery, clocks.Machine, either.Token)).ConfigureAwait(false);
                await either.CancelAsync().ConfigureAwait(false);
            }
        }
        catch (Exception end) when (end is OperationCanceledException or System.Threading.Channels.ChannelClosedException)
        {
            // The hub is stopping.
        }
    }
}
