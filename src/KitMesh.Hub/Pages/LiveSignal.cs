using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using KitMesh.Hub.Ingest;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Hosting;

namespace KitMesh.Hub.Pages;

/// <summary>
/// Tells open pages that there is something new (server-sent events), and that the hub is still there. It carries no
/// figures: a page fetches itself anew, so that there is one way only in which figures are made.
/// </summary>
internal sealed class LiveSignal(MergedView view, HubClocks clocks, IHostApplicationLifetime lifetime)
{
    /// <summary>The most pages that may listen at one time; the next is told to ask later.</summary>
    private const int MostListeners = 200;

    private static readonly TimeSpan Beat = TimeSpan.FromSeconds(20);
    private static readonly TimeSpan LeastApart = TimeSpan.FromSeconds(2);
    private int _listeners;

    /// <summary>Opens the stream for one page.</summary>
    /// <param name="gone">The page went away.</param>
    public IResult Open(CancellationToken gone)
    {
        if (Interlocked.Increment(ref _listeners) <= MostListeners)
        {
            return TypedResults.ServerSentEvents(SignalsAsync(gone));
        }

        Interlocked.Decrement(ref _listeners);
        return TypedResults.StatusCode(StatusCodes.Status503ServiceUnavailable);
    }

    private async IAsyncEnumerable<SseItem<string>> SignalsAsync([EnumeratorCancellation] CancellationToken gone)
    {
        using var end = CancellationTokenSource.CreateLinkedTokenSource(gone, lifetime.ApplicationStopping);
        try
        {
            for (long told = -1; !end.IsCancellationRequested;)
            {
                using var either = CancellationTokenSource.CreateLinkedTokenSource(end.Token);
                Task changed = view.WhenChangedAsync(either.Token);
                long version = view.Now.Version;
                yield return new SseItem<string>($"{version}", version == told ? "beat" : "changed");
                told = version;
                await Task.WhenAny(changed, Task.Delay(Beat, clocks.Machine, either.Token)).ConfigureAwait(false);
                await either.CancelAsync().ConfigureAwait(false);
                await Task.Delay(LeastApart, clocks.Machine, end.Token).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            }
        }
        finally
        {
            Interlocked.Decrement(ref _listeners);
        }
    }
}
