using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Views;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Hosting;

namespace KitMesh.Hub.Pages;

/// <summary>
/// Tells open pages that there is something new (server-sent events), and that the hub is still there. It carries no
/// figures but the numbers of the merged state and of the outlook: a page fetches itself anew, so that there is one way only
/// in which figures are made.
/// </summary>
internal sealed class LiveSignal(MergedView view, TripView trip, HubClocks clocks, IHostApplicationLifetime lifetime)
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
            for ((long Version, long Outlook) told = (-1, -1); !end.IsCancellationRequested;)
            {
                using var either = CancellationTokenSource.CreateLinkedTokenSource(end.Token);
                Task changed = view.WhenChangedAsync(either.Token);
                Task next = trip.WhenNextOutlookAsync(either.Token);
                (long Version, long Outlook) now = (view.Now.Version, trip.OutlooksMade);
                yield return new SseItem<string>($"{now.Version} {now.Outlook}", now.Version != told.Version ? "changed" : now.Outlook != told.Outlook ? "outlook" : "beat");
                told = now;
                await Task.WhenAny(changed, next, Task.Delay(Beat, clocks.Machine, either.Token)).ConfigureAwait(false);
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
