using System.Collections.Concurrent;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Grpc;
using KitMesh.Sync.Session;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub.Links;

/// <summary>Keeps a session open with every hub that this one was told to pass its reports to.</summary>
/// <remarks>
/// One loop a hub: dial, exchange until the link breaks, wait, dial again. What a session says and in which order is the
/// same stepped machine that answers agents and hubs that dial in (<see cref="SessionHost"/>), so a pair of hubs needs one
/// side only that dials, and a loop of hubs ends because each sends only what the other's ranges lack.
/// </remarks>
internal sealed class HubLinks(
    HubOptions options,
    HubClocks clocks,
    SessionHost sessions,
    RightsBook rights,
    ILogger<HubLinks> log,
    HubIdentity? identity = null) : IAsyncDisposable
{
    /// <summary>Pause after an end that only a person can mend: it is tried again all the same, since the other side may be mended.</summary>
    private static readonly TimeSpan PersonMustAct = TimeSpan.FromMinutes(5);

    /// <summary>A link that stood this long is dialled again soon; one that breaks at once, with growing pauses.</summary>
    private static readonly TimeSpan StoodLong = TimeSpan.FromSeconds(10);

    /// <summary>A hub that knocks on itself, or a person's mistake, is told once and not every two minutes.</summary>
    private readonly ConcurrentDictionary<Uri, string> _lastWords = new();
    private readonly CancellationTokenSource _stop = new();
    private Task _running = Task.CompletedTask;

    /// <summary>Begins to dial.</summary>
    public void Start() => _running = Task.WhenAll(options.Hubs.Select(hub => Task.Run(() => KeepAsync(hub))));

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync().ConfigureAwait(false);
        await _running.ConfigureAwait(false);
        _stop.Dispose();
    }

    private async Task KeepAsync(Uri hub)
    {
        var backoff = new Backoff(RandomNumber(hub));
        try
        {
            while (true)
            {
                long began = clocks.Machine.GetTimestamp();
                var dial = new HubDial(hub, identity, rights, sessions, name => Met(hub, name));
                SessionAction.Closed end = await dial.RunAsync(clocks.Machine, _stop.Token).ConfigureAwait(false);
                if (dial.Reached && clocks.Machine.GetElapsedTime(began) >= StoodLong)
                {
                    backoff.Reset();
                }

                Tell(hub, dial.Reached, end.Reason == ByeReason.Forbidden, end.Words);
                TimeSpan pause = end.Reason switch
                {
                    ByeReason.Version or ByeReason.Protocol or ByeReason.Forbidden => PersonMustAct,
                    _ => backoff.Next(),
                };
                await Task.Delay(pause, clocks.Machine, _stop.Token).ConfigureAwait(false);
            }
        }
        catch (OperationCanceledException)
        {
            // The hub is stopping.
        }
    }

    private void Met(Uri hub, NodeId peer)
    {
        _lastWords.TryRemove(hub, out _);
        HubLog.LinkStands(log, hub, peer);
    }

    private void Tell(Uri hub, bool reached, bool isRefusal, string words)
    {
        if (!_stop.IsCancellationRequested && (!_lastWords.TryGetValue(hub, out string? last) || last != words))
        {
            _lastWords[hub] = words;
            HubLog.LinkDown(log, hub, reached || isRefusal ? words : $"No hub answers ({words.TrimEnd('.')}).");
        }
    }

    private static ulong RandomNumber(Uri hub) => Ingest.RandomNumbers.Draw() ^ (ulong)hub.Port;
}
