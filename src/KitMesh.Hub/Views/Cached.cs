using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>Keeps an answer as long as the state it comes from and the world time are near enough. One computation at a time.</summary>
/// <typeparam name="T">The answer.</typeparam>
/// <param name="goodFor">How much world time may pass before it is computed anew although no report came.</param>
internal sealed class Cached<T>(Duration goodFor) : IDisposable
    where T : class
{
    private readonly SemaphoreSlim _one = new(1);
    private Entry? _entry;

    /// <summary>The answer for a state, computed when the kept one does not fit.</summary>
    public async Task<T> GetAsync(long version, Instant now, Func<Task<T>> compute, CancellationToken cancellation)
    {
        if (Fits(Volatile.Read(ref _entry), version, now) is { } kept)
        {
            return kept;
        }

        await _one.WaitAsync(cancellation).ConfigureAwait(false);
        try
        {
            if (Fits(_entry, version, now) is { } meanwhile)
            {
                return meanwhile;
            }

            T answer = await compute().ConfigureAwait(false);
            Volatile.Write(ref _entry, new Entry(version, now, answer));
            return answer;
        }
        finally
        {
            _one.Release();
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _one.Dispose();

    private T? Fits(Entry? entry, long version, Instant now) =>
        entry is not null && entry.Version == version && now >= entry.At && now - entry.At <= goodFor ? entry.Answer : null;

    private sealed record Entry(long Version, Instant At, T Answer);
}
