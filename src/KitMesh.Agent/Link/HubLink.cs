using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.V1;
using KitMesh.Sync.Seals;
using KitMesh.Sync.Session;
using Microsoft.Extensions.Hosting;
using ByeReason = KitMesh.Domain.Exchange.ByeReason;

namespace KitMesh.Agent.Link;

/// <summary>Keeps in touch with the hubs: a session whenever there is something to send, pauses that grow while no hub answers.</summary>
internal sealed class HubLink(LinkParts parts) : BackgroundService
{
    private static readonly TimeSpan KeepAlive = TimeSpan.FromMinutes(1);
    private static readonly TimeSpan ConnectTimeout = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan PatienceAtStop = TimeSpan.FromSeconds(3);

    private readonly Backoff _backoff = new(parts.Surroundings.DrawId());
    private readonly SemaphoreSlim _grew = new(0, 1);
    private string _lastWords = "";
    private bool _epochOpened;

    private enum Outcome
    {
        Done,
        Again,
        Failed,
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (parts.Options.Hubs.Count == 0)
        {
            return;
        }

        parts.Outbox.Grew += Signal;
        try
        {
            int hub = 0;
            while (true)
            {
                switch (await OneSessionAsync(parts.Options.Hubs[hub], stoppingToken).ConfigureAwait(false))
                {
                    case Outcome.Done:
                        _backoff.Reset();
                        await NewsAsync(stoppingToken).ConfigureAwait(false);
                        break;
                    case Outcome.Again:
                        break;
                    case Outcome.Failed:
                        hub = (hub + 1) % parts.Options.Hubs.Count;
                        await Task.Delay(_backoff.Next(), parts.Surroundings.MachineTime, stoppingToken).ConfigureAwait(false);
                        break;
                }

                parts.Counters.CountWakeUp();
            }
        }
        finally
        {
            parts.Outbox.Grew -= Signal;
        }
    }

    // The first session comes at once: it also reads the hub's clock. Then only news is a reason.
    private async Task NewsAsync(CancellationToken stop)
    {
        while (parts.Progress.Waiting(parts.Journal) == 0)
        {
            await _grew.WaitAsync(stop).ConfigureAwait(false);
        }
    }

    private void Signal()
    {
        if (_grew.CurrentCount == 0)
        {
            _grew.Release();
        }
    }

    private async Task<Outcome> OneSessionAsync(Uri hub, CancellationToken stop)
    {
        using SocketsHttpHandler handler = Handler(hub);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub, new GrpcChannelOptions { HttpHandler = handler });
        using var call = new MeshService.MeshServiceClient(channel).Exchange(WireCompression.Headers(), cancellationToken: stop);
        var session = new HubSession(parts, call);
        try
        {
            await session.SealAsync(SealOccasion.SessionBegins, stop).ConfigureAwait(false);
            SessionAction.Closed closed = await session.RunAsync(stop).ConfigureAwait(false);
            if (session.Reached)
            {
                parts.Counters.CountSession();
            }

            if (session.Useful)
            {
                _backoff.Reset();
            }

            await CompleteAsync(call, stop).ConfigureAwait(false);
            await RenewAsync(hub, channel, session.Reached, stop).ConfigureAwait(false);
            return Judge(hub, closed, session.Reached);
        }
#pragma warning disable CA1031 // The one door: whatever a hub or its link does, the guard on this agent goes on.
        catch (Exception e) when (!stop.IsCancellationRequested)
#pragma warning restore CA1031
        {
            return Judge(hub, new SessionAction.Closed(ByeReason.Unknown, e.Message, ByPeer: true), session.Reached);
        }
    }

    private SocketsHttpHandler Handler(Uri hub)
    {
        SocketsHttpHandler handler = hub.Scheme == Uri.UriSchemeHttps && parts.Identity is { } care ? care.Identity.CreateHandler() : new SocketsHttpHandler();
        handler.ConnectTimeout = ConnectTimeout;
        handler.KeepAlivePingDelay = KeepAlive;
        handler.KeepAlivePingTimeout = TimeSpan.FromSeconds(20);
        handler.KeepAlivePingPolicy = HttpKeepAlivePingPolicy.WithActiveRequests;
        return handler;
    }

    private async Task RenewAsync(Uri hub, GrpcChannel channel, bool reached, CancellationToken stop)
    {
        if (reached && hub.Scheme == Uri.UriSchemeHttps && parts.Identity is { IsTime: true } care && await care.AskAsync(channel, now: false, stop).ConfigureAwait(false) is { } words)
        {
            parts.Surroundings.Say(words);
        }
    }

    private Outcome Judge(Uri hub, SessionAction.Closed closed, bool reached)
    {
        if (closed.Reason == ByeReason.Done)
        {
            SayOnce(_lastWords.Length > 0 ? $"{hub} answers again." : "");
            _lastWords = "";
            return Outcome.Done;
        }

        // A restored disk opened a new epoch: the next session starts at once, once.
        if (closed.Reason == ByeReason.NewEpoch && reached && !_epochOpened)
        {
            _epochOpened = true;
            return Outcome.Again;
        }

        SayOnce(reached
            ? $"{hub}: {closed.Words} Reports are kept here and sent later."
            : $"No hub answers at {hub} ({closed.Words.TrimEnd('.')}). Reports are kept here and sent later.");
        return Outcome.Failed;
    }

    private void SayOnce(string words)
    {
        if (words != _lastWords && words.Length > 0)
        {
            parts.Surroundings.Say(words);
        }

        _lastWords = words;
    }

    private async Task CompleteAsync(AsyncDuplexStreamingCall<ExchangeRequest, ExchangeResponse> call, CancellationToken stop)
    {
        using var patience = new CancellationTokenSource(PatienceAtStop, parts.Surroundings.MachineTime);
        using var both = CancellationTokenSource.CreateLinkedTokenSource(stop, patience.Token);
        try
        {
            await call.RequestStream.CompleteAsync().WaitAsync(both.Token).ConfigureAwait(false);
            while (await call.ResponseStream.MoveNext(both.Token).ConfigureAwait(false))
            {
                // What still comes after bye says nothing.
            }
        }
        catch (Exception e) when (e is RpcException or InvalidOperationException or OperationCanceledException or IOException)
        {
            // The other side was faster.
        }
    }
}
