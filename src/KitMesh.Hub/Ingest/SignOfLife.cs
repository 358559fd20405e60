using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Hub.Ingest;

/// <summary>Writes this hub's own sign of life, as every agent does: at start, then every hour of machine time.</summary>
internal sealed class SignOfLife(ReportIntake intake, HubOptions options, HubClocks clocks) : IAsyncDisposable
{
    private static readonly TimeSpan Every = TimeSpan.FromHours(1);
    private readonly CancellationTokenSource _stop = new();
    private Task _running = Task.CompletedTask;
    private long _wakeUps;

    /// <summary>Begins.</summary>
    public void Start() => _running = Task.Run(RunAsync);

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
            do
            {
                _wakeUps++;
                await intake.WriteAsync([State()], _stop.Token).ConfigureAwait(false);
            }
            while (await timer.WaitForNextTickAsync(_stop.Token).ConfigureAwait(false));
        }
        catch (OperationCanceledException)
        {
            // The hub is stopping.
        }
    }

    private AgentState State() => new(
        options.Node,
        typeof(SignOfLife).Assembly.GetName().Version?.ToString(3) ?? "",
        _wakeUps,
        0,
        0,
        null,
        new ByteCount(new DriveInfo(Path.GetFullPath(options.DataFolder)).AvailableFreeSpace),
        (int)Every.TotalSeconds);
}
