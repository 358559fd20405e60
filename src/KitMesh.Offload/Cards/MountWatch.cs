using KitMesh.Disk.Media;

namespace KitMesh.Offload.Cards;

/// <summary>Wakes a waiting station when something is mounted or unmounted, so that it need not look often.</summary>
public sealed class MountWatch : IDisposable
{
    // The thread looks whether it is still wanted this often; once a minute costs nothing.
    private static readonly TimeSpan Turn = TimeSpan.FromMinutes(1);

    private readonly SemaphoreSlim _changed = new(0, 1);
    private volatile bool _over;

    /// <summary>Starts watching.</summary>
    public MountWatch() => new Thread(Watch, 128 * 1024) { Name = "mounts", IsBackground = true }.Start();

    /// <summary>Waits for a change of the mounts or for a time to pass, whichever comes first.</summary>
    /// <param name="atMost">The time.</param>
    /// <param name="time">Counts it.</param>
    /// <param name="stop">Gives up.</param>
    public async Task WaitAsync(TimeSpan atMost, TimeProvider time, CancellationToken stop)
    {
        using var passed = new CancellationTokenSource(atMost, time);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(passed.Token, stop);
        try
        {
            await _changed.WaitAsync(either.Token).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!stop.IsCancellationRequested)
        {
            // The time passed.
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _over = true;

    private void Watch()
    {
        while (!_over)
        {
            long start = TimeProvider.System.GetTimestamp();
            bool changed = MountTable.WaitForChange(Turn);
            if (changed && _changed.CurrentCount == 0)
            {
                _changed.Release();
            }
            else if (!changed && TimeProvider.System.GetElapsedTime(start) < Turn / 2)
            {
                // The system does not tell: then only time wakes the station.
                return;
            }
        }
    }
}
