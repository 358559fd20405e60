namespace KitMesh.Devices.Following;

/// <summary>Wakes when a folder changes, and at the latest after an interval of world time (network shares and old kernels tell nothing).</summary>
internal sealed class FileWake : IDisposable
{
    private readonly SemaphoreSlim _changed = new(0, 1);
    private readonly FileSystemWatcher? _watcher;
    private readonly TimeProvider _pace;
    private readonly TimeSpan _atLatest;

    /// <summary>Watches a folder, or only waits where it cannot be watched.</summary>
    public FileWake(string folder, string filter, TimeSpan atLatest, TimeProvider pace)
    {
        _pace = pace;
        _atLatest = atLatest;
        try
        {
            _watcher = new FileSystemWatcher(folder, filter);
            _watcher.Changed += (_, _) => Signal();
            _watcher.Created += (_, _) => Signal();
            _watcher.Renamed += (_, _) => Signal();
            _watcher.EnableRaisingEvents = true;
        }
        catch (Exception e) when (e is IOException or ArgumentException or UnauthorizedAccessException)
        {
            _watcher?.Dispose();
            _watcher = null;
        }
    }

    /// <summary>Waits for a change or the interval.</summary>
    public async Task WaitAsync(CancellationToken stop)
    {
        using var atLatest = new CancellationTokenSource(_atLatest, _pace);
        using var both = CancellationTokenSource.CreateLinkedTokenSource(stop, atLatest.Token);
        try
        {
            await _changed.WaitAsync(both.Token).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!stop.IsCancellationRequested)
        {
            // The interval passed: look anyway.
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _watcher?.Dispose();
        _changed.Dispose();
    }

    private void Signal()
    {
        try
        {
            if (_changed.CurrentCount == 0)
            {
                _changed.Release();
            }
        }
        catch (Exception e) when (e is SemaphoreFullException or ObjectDisposedException)
        {
            // Somebody else has signalled already, or nobody waits any more.
        }
    }
}
