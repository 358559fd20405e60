using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>Keeps an answer as long as the state it comes from and the world time are near enough. One computation at a time.</summary>
/// <typeparam name="T">The answer.</typeparam>
/// <param name="goodFor">How much world time may pass before it is computed anew although no report came.</param>
internal sealed class Cached<T>(Duration goodFor) : IDisposable
    where T : class
{
    private readonly SemaphoreSlim _one = new(1);
    private TaskCompletionSource _next = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private Kept<T>? _kept;

    /// <summary>The newest answer, whether it still fits or not; null before the first.</summary>
    public Kept<T>? Newest => Volatile.Read(ref _kept);

    /// <summary>Completes with the next answer.</summary>
    /// <param name="cancellation">Gives up waiting.</param>
    public Task WhenNextAsync(CancellationToken cancellation) => Volatile.Read(ref _next).Task.WaitAsync(cancellation);

    /// <summary>The newest answer if it fits; else null.</summary>
    public Kept<T>? Fitting(long version, Instant now) =>
        Newest is { } kept && kept.Version == version && now >= kept.At && now - kept.At <= goodFor ? kept : null;

    /// <summary>The answer for a state, computed when the kept one does not fit.</summary>
    public async Task<T> GetAsync(long version, Instant now, Func<Task<T>> compute, CancellationToken cancellation)
    {
        if (Fitting(version, now) is { } kept)
        {
            return kept.Answer;
        }

        await _one.WaitAsync(cancellation).ConfigureAwait(false);
        try
        {
            if (Fitting(version, now) is { } meanwhile)
            {
                return meanwhile.Answer;
            }

            T answer = await compute().ConfigureAwait(false);
            Volatile.Write(ref _kept, new Kept<T>(answer, version, now, (_kept?.Number ?? 0) + 1));
            Interlocked.Exchange(ref _next, new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously)).SetResult();
            return answer;
        }
        finally
        {
            _one.Release();
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _one.Dispose();
}
