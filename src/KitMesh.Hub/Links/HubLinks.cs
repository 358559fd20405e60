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
    LinkBook book,
    HubClocks clocks,
    SessionHost sessions,
    RightsBook rights,
    ILogger<HubLinks> log,
    HubIdentity? identity = null) : IAsyncDisposable
{
    /// <summary>Pause after an end that only a person can mend: it is tried again all the same, since the other side may be mended.</summary>
    private static readonly TimeSpan PersonMustAct = TimeSpan.FromMinutes(5);

    /// <summary>A link whose budget is spent is looked at this often for the new day.</summary>
    private static readonly TimeSpan LookForTomorrow = TimeSpan.FromSeconds(20);

    /// <summary>A link that stood this long is dialled again soon; one that breaks at once, with growing pauses.</summary>
    private static readonly TimeSpan StoodLong = TimeSpan.FromSeconds(10);

    /// <summary>A hub that knocks on itself, or a person's mistake, is told once and not every two minutes.</summary>
    private readonly ConcurrentDictionary<Uri, string> _lastWords = new();
    private readonly CancellationTokenSource _stop = new();
    private Task _running = Task.CompletedTask;

    /// <summary>Begins to dial.</summary>
    public void Start() => _running = Task.WhenAll([.. book.Dials.Select(dial => Task.Run(() => KeepAsync(dial.Hub, dial.Link))), Task.Run(SaveAsync)]);

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync().ConfigureAwait(false);
        await _running.ConfigureAwait(false);
        book.Save();
        _stop.Dispose();
    }

    private async Task SaveAsync()
    {
        using var timer = new PeriodicTimer(TimeSpan.FromMinutes(1), clocks.Machine);
        try
        {
            while (await timer.WaitForNextTickAsync(_stop.Token).ConfigureAwait(false))
            {
                book.Save();
            }
        }
        catch (OperationCanceledException)
        {
            // The hub is stopping.
        }
    }

    private async Task KeepAsync(Uri hub, HubLink? link)
    {
        var backoff = new Backoff(RandomNumber(hub));
        LinkMeter? meter = link is null ? null : book.MeterOf(link.To);
        try
        {
            while (true)
            {
                while (meter is { HasRoom: false })
                {
                    await Task.Delay(LookForTomorrow, clocks.Machine, _stop.Token).ConfigureAwait(false);
                }

                long began = clocks.Machine.GetTimestamp();
                var dial = new HubDial(hub, meter, identity, rights, sessions, name => Met(hub, link?.To, name));
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

    private void Met(Uri hub, NodeId? expected, NodeId peer)
    {
        if (expected is { } name && name != peer)
        {
            HubLog.OtherName(log, hub, name, peer);
        }

        _lastWords.TryRemove(hub, out _);
        book.NoteUp(hub, peer);
        HubLog.LinkStands(log, hub, peer);
    }

    private void Tell(Uri hub, bool reached, bool isRefusal, string words)
    {
        string told = reached || isRefusal ? words : $"No hub answers ({words.TrimEnd('.')}).";
        book.NoteDown(hub, told);
        if (!_stop.IsCancellationRequested && (!_lastWords.TryGetValue(hub, out string? last) || last != words))
        {
            _lastWords[hub] = words;
            HubLog.LinkDown(log, hub, told);
        }
    }

    private static ulong RandomNumber(Uri hub) => Ingest.RandomNumbers.Draw() ^ (ulong)hub.Port;
}
