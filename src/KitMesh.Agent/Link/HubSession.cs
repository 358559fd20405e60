using System.Threading.Channels;
using Google.Protobuf;
using Grpc.Core;
using KitMesh.Agent.Options;
using KitMesh.Agent.Outbox;
using KitMesh.Devices;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Seals;
using KitMesh.Sync.Session;
using NodaTime;

namespace KitMesh.Agent.Link;

// The session itself is a stepped machine without sockets (KitMesh.Sync). This is its host: one loop, one bounded mailbox,
// one writer. Every frame is awaited before the next is made, which is the back-pressure. When nothing is left to say for
// a while, the session ends with "done" and the radio sleeps until the journal grows.

/// <summary>One session over one stream.</summary>
internal sealed class HubSession
{
    private const int Mailbox = 64;
    private static readonly TimeSpan TickEvery = TimeSpan.FromSeconds(1);

    private readonly LinkParts _parts;
    private readonly IClientStreamWriter<Protocol.V1.ExchangeRequest> _out;
    private readonly IAsyncStreamReader<Protocol.V1.ExchangeResponse> _in;
    private readonly ExchangeSession _session;
    private readonly Channel<LinkEvent> _mail = Channel.CreateBounded<LinkEvent>(new BoundedChannelOptions(Mailbox) { SingleReader = true });
    private readonly long _started;
    private SessionAction.Closed? _closed;
    private Duration _idleSince = Duration.MaxValue;
    private bool _finishing;

    public HubSession(LinkParts parts, AsyncDuplexStreamingCall<Protocol.V1.ExchangeRequest, Protocol.V1.ExchangeResponse> call)
    {
        _parts = parts;
        _out = call.RequestStream;
        _in = call.ResponseStream;
        _started = parts.Surroundings.MachineTime.GetTimestamp();
        _session = new ExchangeSession(
            new SessionOptions { Node = parts.Options.Node, Role = NodeRole.Agent, Software = $"kitmesh {parts.Surroundings.Version}" },
            parts.Journal,
            parts.Credit,
            parts.ClockPairs,
            static () => null,
            Now());
    }

    /// <summary>Whether the hub answered at all.</summary>
    public bool Reached => _session.Peer is not null;

    /// <summary>Whether the hub took something: then a broken link is no reason for a long pause.</summary>
    public bool Useful { get; private set; }

    /// <summary>Runs the session to its end.</summary>
    public async Task<SessionAction.Closed> RunAsync(CancellationToken stop)
    {
        using var over = CancellationTokenSource.CreateLinkedTokenSource(stop);
        void OnGrew() => _mail.Writer.TryWrite(LinkEvent.Grew.One);
        _parts.Outbox.Grew += OnGrew;
        Task receiving = ReceiveAsync(over.Token);
        Task ticking = TickAsync(over.Token);
        try
        {
            await ActAsync(stop).ConfigureAwait(false);
            while (_closed is null)
            {
                LinkEvent next = await _mail.Reader.ReadAsync(stop).ConfigureAwait(false);
                _parts.Counters.CountWakeUp();
                Take(next);
                await ActAsync(stop).ConfigureAwait(false);
                await SealWhenIdleAsync(stop).ConfigureAwait(false);
                FinishWhenIdle();
                await ActAsync(stop).ConfigureAwait(false);
            }

            return _closed;
        }
        finally
        {
            _session.Cut();
            _parts.Outbox.Grew -= OnGrew;
            await over.CancelAsync().ConfigureAwait(false);
            await Task.WhenAll(receiving, ticking).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }

    private void Take(LinkEvent next)
    {
        switch (next)
        {
            case LinkEvent.Came came:
                _session.Receive(came.Frame, Now());
                break;
            case LinkEvent.Appended appended:
                _session.Appended(appended.Ticket, appended.Result);
                break;
            case LinkEvent.Grew:
                _session.JournalGrew([_parts.Journal.Own]);
                break;
            case LinkEvent.Tick:
                // A full mailbox drops "grew": the tick looks again.
                _session.JournalGrew([_parts.Journal.Own]);
                _session.Tick(Now());
                break;
            case LinkEvent.Ended ended:
                _session.Cut();
                _closed = new SessionAction.Closed(ByeReason.Unknown, ended.Words, ByPeer: true);
                break;
        }
    }

    private async Task ActAsync(CancellationToken stop)
    {
        while (_session.TryNext(out SessionAction? action))
        {
            switch (action)
            {
                case SessionAction.Send send:
                    await SendAsync(send.Frame, stop).ConfigureAwait(false);
                    break;
                case SessionAction.Append append:
                    // A hub sends an agent nothing; whatever comes all the same is kept like everything else.
                    _ = AppendAsync(append, stop);
                    break;
                case SessionAction.WriteOwn own:
                    await _parts.Outbox.WriteAsync(new Sample(own.Body), stop).ConfigureAwait(false);
                    break;
                case SessionAction.Acknowledged acknowledged:
                    Useful = true;
                    _parts.Progress.Acknowledge(acknowledged.Origin, acknowledged.UpTo);
                    _parts.Journal.Acknowledge(acknowledged.Origin, acknowledged.UpTo);
                    break;
                case SessionAction.OpenEpoch epoch:
                    _parts.Surroundings.Say(epoch.Words);
                    await _parts.Journal.OpenEpochAsync(_parts.Surroundings.DrawId(), stop).ConfigureAwait(false);
                    break;
                case SessionAction.PeerKnown known:
                    _parts.Clock.Receive(known.Peer.Hybrid);
                    break;
                case SessionAction.Odd odd:
                    _parts.Surroundings.Say(odd.Words);
                    break;
                case SessionAction.ForksKept forks:
                    _parts.Surroundings.Say($"{forks.Keys.Count} reports exist in two versions; both are kept.");
                    break;
                case SessionAction.Closed closed:
                    _closed ??= closed;
                    break;
                case SessionAction.Compared:
                    break;
            }
        }
    }

    private async Task SendAsync(SessionFrame frame, CancellationToken stop)
    {
        if (_closed is not null)
        {
            return;
        }

        var request = new Protocol.V1.ExchangeRequest { Frame = FrameCodec.Write(frame) };
        try
        {
            _out.WriteOptions = WireCompression.For(request);
            await _out.WriteAsync(request, stop).ConfigureAwait(false);
            _parts.Counters.CountBytes(request.CalculateSize());
        }
        catch (Exception e) when (e is RpcException or InvalidOperationException or IOException)
        {
            _session.Cut();
            _closed ??= new SessionAction.Closed(ByeReason.Unknown, Words(e), ByPeer: true);
        }
    }

    private async Task AppendAsync(SessionAction.Append append, CancellationToken stop)
    {
        AppendResult result = await _parts.Journal.AppendAsync(append.Reports, stop).ConfigureAwait(false);
        await _mail.Writer.WriteAsync(new LinkEvent.Appended(append.Ticket, result), stop).ConfigureAwait(false);
    }

    /// <summary>Writes the seal that is due, if there is one. A disk that fails has its own alarm; the seal is made again later.</summary>
    public async Task SealAsync(SealOccasion occasion, CancellationToken stop)
    {
        if (_parts.Seals?.Make(occasion, Machine()) is not { } seal)
        {
            return;
        }

        OwnAppend append = await _parts.Journal.AppendOwnAsync(
            [key =>
            {
                (HybridTime hybrid, DeviceTime written) = _parts.Clock.Stamp();
                return ReportCodec.Encode(hybrid, written, seal.At(key));
            }],
            stop).ConfigureAwait(false);
        if (append.Result is AppendResult.Durable)
        {
            _parts.Counters.CountWritten(1);
            _session.JournalGrew([_parts.Journal.Own]);
        }
    }

    private async Task SealWhenIdleAsync(CancellationToken stop)
    {
        if (_closed is null && _session.IsIdle && !_finishing)
        {
            await SealAsync(SealOccasion.NothingMoreToSay, stop).ConfigureAwait(false);
        }
    }

    private void FinishWhenIdle()
    {
        if (!_session.IsIdle)
        {
            _idleSince = Duration.MaxValue;
            return;
        }

        Duration now = Machine();
        _idleSince = Duration.Min(_idleSince, now);
        if (!_finishing && now - _idleSince >= Duration.FromTimeSpan(_parts.Options.Linger))
        {
            _finishing = true;
            _session.Finish();
        }
    }

    private async Task ReceiveAsync(CancellationToken stop)
    {
        string words = "The hub ended the stream.";
        try
        {
            while (await _in.MoveNext(stop).ConfigureAwait(false))
            {
                await _mail.Writer.WriteAsync(new LinkEvent.Came(FrameCodec.Read(_in.Current.Frame)), stop).ConfigureAwait(false);
            }
        }
        catch (Exception e) when (e is RpcException or IOException)
        {
            words = Words(e);
        }

        await _mail.Writer.WriteAsync(new LinkEvent.Ended(words), stop).ConfigureAwait(false);
    }

    private async Task TickAsync(CancellationToken stop)
    {
        using var timer = new PeriodicTimer(TickEvery, _parts.Surroundings.MachineTime);
        while (await timer.WaitForNextTickAsync(stop).ConfigureAwait(false))
        {
            _mail.Writer.TryWrite(LinkEvent.Tick.One);
        }
    }

    private SessionMoment Now() => new(_parts.Clock.Read(), _parts.Clock.Trust, _parts.Clock.Hybrid, Machine());

    private Duration Machine() => Duration.FromTimeSpan(_parts.Surroundings.MachineTime.GetElapsedTime(_started));

    private static string Words(Exception e) => e is RpcException rpc ? $"{rpc.StatusCode}: {rpc.Status.Detail}" : e.Message;
}
