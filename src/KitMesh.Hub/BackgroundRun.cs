using System.Threading.Channels;

namespace KitMesh.Hub;

/// <summary>Work that goes on beside the hub from its start until it stops.</summary>
/// <param name="work">The work; ends when it is told to.</param>
internal sealed class BackgroundRun(Func<CancellationToken, Task> work) : IAsyncDisposable
{
    private readonly CancellationTokenSource _stop = new();
    private Task _running = Task.CompletedTask;

    /// <summary>Begins.</summary>
    public void Start() => _running = Task.Run(RunAsync);

    /// <summary>Tells the work to end and waits until it has; a fault of the work comes out of here.</summary>
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
            await work(_stop.Token).ConfigureAwait(false);
        }
        catch (Exception end) when (end is OperationCanceledException or ChannelClosedException)
        {
            // The hub is stopping, and with it perhaps what the work writes to.
        }
    }
}
