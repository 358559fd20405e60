using System.Threading.Channels;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Links;
using KitMesh.Hub.Seals;
using KitMesh.Protocol.Certificates;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Seals;
using KitMesh.Sync.Session;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace KitMesh.Hub.Grpc;

/// <summary>Drives the stepped sessions of this hub over whatever carries frames.</summary>
/// <remarks>
/// One loop a session feeds it what happened and does what it asks. Its queue of events has natural bounds: frames wait for
/// a place before they are read off the link, appends are bounded by the credit that was granted, and wake-ups collapse
/// into one. When the hub stops, each session says bye; a peer that does not read it is not waited for.
/// </remarks>
internal sealed class SessionHost(
    ReportIntake intake,
    GrowthBoard board,
    MergedView view,
    ClockPairLog clockPairs,
    HubOptions options,
    LinkBook links,
    HubClocks clocks,
    IHostApplicationLifetime lifetime,
    ILogger<SessionHost> log,
    SealKeeper? seals = null)
{
    /// <summary>How long a peer has to take a bye and to end its side: a stream that is reset at once takes unread words with it.</summary>
    private static readonly TimeSpan ByeTakenWithin = TimeSpan.FromSeconds(5);

    /// <summary>A peer that seals does so within this time after its last report.</summary>
    private static readonly TimeSpan SealsWithin = TimeSpan.FromSeconds(5);

    private const int FramesAhead = 16;
    private readonly CreditBudget _budget = new(options.CreditBytes);
    private readonly long _started = clocks.Machine.GetTimestamp();
    private int _sessions;

    /// <summary>Sessions that run now.</summary>
    public int Sessions => Volatile.Read(ref _sessions);

    /// <summary>Runs one session to its end.</summary>
    /// <param name="receive">What the peer says.</param>
    /// <param name="send">Says something to the peer; completes when it is on its way.</param>
    /// <param name="cancellation">The call ended.</param>
    /// <param name="caller">Who the peer is, as its certificate says; null on a hub that asks nobody.</param>
    /// <param name="end">Ends this side of the stream after the last word, where that is not the end of a call.</param>
    /// <returns>How it ended.</returns>
    public async Task<SessionAction.Closed> RunAsync(
        IAsyncEnumerable<SessionFrame> receive,
        Func<SessionFrame, Task> send,
        CancellationToken cancellation,
        Caller? caller = null,
        Func<Task>? end = null)
    {
        if (Interlocked.Increment(ref _sessions) > options.MaxSessions)
        {
            Interlocked.Decrement(ref _sessions);
            throw CallRefusedException.Busy($"This hub already serves {options.MaxSessions} sessions. Nothing is lost; try again in a minute.");
        }

        using var stop = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        var run = new Run(this, send, caller, stop.Token);
        using CancellationTokenRegistration stopping = lifetime.ApplicationStopping.Register(() =>
        {
            run.Part();
            stop.CancelAfter(ByeTakenWithin);
        });
        Task reading = run.ReadAsync(receive);
        Task ticking = run.TickAsync();
        try
        {
            SessionAction.Closed closed = await run.LoopAsync().ConfigureAwait(false);
            if (!closed.ByPeer && closed.Reason != ByeReason.Unknown)
            {
                run.HearNoMore();
                if (end is not null)
                {
                    await end().ConfigureAwait(false);
                }

                using var patience = new CancellationTokenSource(ByeTakenWithin, clocks.Machine);
                await reading.WaitAsync(patience.Token).ContinueWith(static _ => { }, TaskScheduler.Default).ConfigureAwait(false);
            }

            return closed;
        }
        finally
        {
            Interlocked.Decrement(ref _sessions);
            await stop.CancelAsync().ConfigureAwait(false);
            await Task.WhenAll(reading, ticking).ConfigureAwait(false);
            await run.SettleAsync().ConfigureAwait(false);
            run.Dispose();
        }
    }

    /// <summary>The state of all that is durable; null while the merging is behind, for then the holdings say more than the state.</summary>
    private Sha256Hash? StateNow() =>
        view.Now is { } now && now.Position.CompareTo(intake.Journal.End) >= 0 ? StateFingerprint.Of(now.State) : null;

    private SessionMoment Moment() => new(
        clocks.Device.Read(),
        clocks.Device.Trust,
        intake.Hybrid(),
        Duration.FromTimeSpan(clocks.Machine.GetElapsedTime(_started)));

    private sealed class Run : IDisposable
    {
        private readonly SessionHost _host;
        private readonly Func<SessionFrame, Task> _send;
        private readonly CancellationToken _cancellation;
        private readonly Channel<SessionEvent> _events = Channel.CreateUnbounded<SessionEvent>(new UnboundedChannelOptions { SingleReader = true });
        private readonly SemaphoreSlim _places = new(FramesAhead);
        private readonly GrowthWatch _growth;
        private readonly ExchangeSession _session;
        private readonly DirectTakes _direct;
        private long _tookAt;
        private volatile bool _isOver;
        private int _wakeQueued;
        private int _appending;

        public Run(SessionHost host, Func<SessionFrame, Task> send, Caller? caller, CancellationToken cancellation)
        {
            _host = host;
            _send = send;
            _cancellation = cancellation;
            _growth = host.Board.Watch(Wake);
            _direct = new DirectTakes(caller);
            _session = new ExchangeSession(
                new SessionOptions
                {
                    Node = host.Options.Node,
                    Role = NodeRole.Hub,
                    Software = $"kitmesh {typeof(SessionHost).Assembly.GetName().Version?.ToString(3)}",
                    FoldVersion = TripState.FoldVersion,
                    ExpectedPeer = caller?.Node,
                    PeerMayBeHub = caller?.HasAny(MeshRoles.Hub) ?? true,
                    TermsOf = host.Links.TermsOf,
                    PeerMayRelay = caller?.HasAny(MeshRoles.Hub) ?? true,
                },
                host.Intake.Journal,
                host._budget,
                host.ClockPairs,
                host.StateNow,
                host.Moment());
        }

        public async Task ReadAsync(IAsyncEnumerable<SessionFrame> receive)
        {
            bool broken = false;
            try
            {
                await foreach (SessionFrame frame in receive.WithCancellation(_cancellation).ConfigureAwait(false))
                {
                    if (_isOver)
                    {
                        continue;
                    }

                    await _places.WaitAsync(_cancellation).ConfigureAwait(false);
                    _events.Writer.TryWrite(new SessionEvent.Came(frame));
                }
            }
            catch (Exception failure) when (failure is OperationCanceledException or IOException or global::Grpc.Core.RpcException or InvalidOperationException)
            {
                broken = true;
            }

            _events.Writer.TryWrite(new SessionEvent.Ended(broken));
        }

        public async Task TickAsync()
        {
            using var timer = new PeriodicTimer(TimeSpan.FromSeconds(1), _host.Clocks.Machine);
            try
            {
                while (await timer.WaitForNextTickAsync(_cancellation).ConfigureAwait(false))
                {
                    Wake();
                }
            }
            catch (OperationCanceledException)
            {
                // The session is over.
            }
        }

        public async Task<SessionAction.Closed> LoopAsync()
        {
            string words = "The link broke.";
            try
            {
                if (await DrainAsync().ConfigureAwait(false) is { } refused)
                {
                    return refused;
                }

                await foreach (SessionEvent happened in _events.Reader.ReadAllAsync(_cancellation).ConfigureAwait(false))
                {
                    Feed(happened);
                    if (await DrainAsync().ConfigureAwait(false) is { } closed)
                    {
                        return closed;
                    }
                }
            }
            catch (TimeoutException)
            {
                words = $"It read nothing for {_host.Options.PeerReadsWithin.TotalSeconds:0} s, so it was let go.";
                HubLog.SessionOdd(_host.Log, Name, words);
            }
            catch (Exception failure) when (failure is OperationCanceledException or IOException or global::Grpc.Core.RpcException or InvalidOperationException)
            {
                // The link broke while something was being said.
            }

            _session.Cut();
            return await DrainAsync(isCut: true).ConfigureAwait(false) ?? new SessionAction.Closed(ByeReason.Unknown, words, ByPeer: false);
        }

        /// <summary>Waits for what the ended session left on its way to disk, so that its bytes count against the budget until then.</summary>
        public async Task SettleAsync()
        {
            _session.Cut();
            while (_appending > 0)
            {
                if (await _events.Reader.ReadAsync(CancellationToken.None).ConfigureAwait(false) is SessionEvent.Appended appended)
                {
                    Settle(appended);
                }
            }

            await WriteDirectAsync().ConfigureAwait(false);
        }

        /// <summary>Everything is said: what still comes is read and let go, so that the peer can end its side.</summary>
        public void HearNoMore()
        {
            _isOver = true;
            _places.Release(FramesAhead);
        }

        /// <summary>Ends the session in good order; the peer comes back when the hub does.</summary>
        public void Part() => _events.Writer.TryWrite(SessionEvent.Stopping.Instance);

        public void Dispose()
        {
            _growth.Dispose();
            _places.Dispose();
        }

        private void Feed(SessionEvent happened)
        {
            switch (happened)
            {
                case SessionEvent.Came came:
                    _session.Receive(came.Frame, _host.Moment());
                    _places.Release();
                    break;
                case SessionEvent.Ended:
                    _session.Cut();
                    break;
                case SessionEvent.Appended appended:
                    Settle(appended);
                    break;
                case SessionEvent.Stopping:
                    _session.Close(ByeReason.GoingAway, $"{_host.Options.Node} is stopping. What was acknowledged is safe; keep the rest and come back later.");
                    break;
                case SessionEvent.Woke:
                    Volatile.Write(ref _wakeQueued, 0);
                    _session.JournalGrew(_growth.Take());
                    _session.Tick(_host.Moment());
                    if (_direct.IsFull || _host.Clocks.Machine.GetElapsedTime(Volatile.Read(ref _tookAt)) >= SealsWithin)
                    {
                        _ = WriteDirectAsync();
                    }

                    break;
                default:
                    throw new InvalidOperationException($"Unknown event {happened}.");
            }
        }

        private void Settle(SessionEvent.Appended appended)
        {
            _appending--;
            _session.Appended(appended.Ticket, appended.Result);
        }

        private async Task<SessionAction.Closed?> DrainAsync(bool isCut = false)
        {
            while (_session.TryNext(out SessionAction? action))
            {
                switch (action)
                {
                    case SessionAction.Send when isCut:
                        break;
                    case SessionAction.Send send:
                        await _send(send.Frame).WaitAsync(_host.Options.PeerReadsWithin, _host.Clocks.Machine, _cancellation).ConfigureAwait(false);
                        break;
                    case SessionAction.Append append:
                        _appending++;
                        _ = AppendAsync(append);
                        break;
                    case SessionAction.Closed closed:
                        HubLog.SessionEnded(_host.Log, Name, closed.Words);
                        return closed;
                    default:
                        await DoAsync(action).ConfigureAwait(false);
                        break;
                }
            }

            return null;
        }

        private async Task DoAsync(SessionAction action)
        {
            switch (action)
            {
                case SessionAction.WriteOwn own:
                    await _host.Intake.WriteAsync([own.Body], CancellationToken.None).ConfigureAwait(false);
                    break;
                case SessionAction.Acknowledged acknowledged:
                    _host.Intake.Journal.Acknowledge(acknowledged.Origin, acknowledged.UpTo);
                    break;
                case SessionAction.OpenEpoch epoch:
                    await _host.Intake.Journal.OpenEpochAsync(RandomNumbers.Draw(), CancellationToken.None).ConfigureAwait(false);
                    HubLog.EpochOpened(_host.Log, epoch.Words);
                    break;
                case SessionAction.PeerKnown known:
                    _host.Intake.Hear(known.Peer);
                    if (known.Peer.Role == NodeRole.Agent)
                    {
                        _growth.LimitTo(known.Peer.Node);
                    }
                    else if (_host.Seals is { } seals)
                    {
                        await seals.SealAsync(SealOccasion.SessionBegins, _cancellation).ConfigureAwait(false);
                    }

                    HubLog.SessionBegins(_host.Log, known.Peer.Node);
                    break;
                case SessionAction.ForksKept forks:
                    HubLog.ForksKept(_host.Log, string.Join(", ", forks.Keys));
                    break;
                case SessionAction.Odd odd:
                    HubLog.SessionOdd(_host.Log, Name, odd.Words);
                    break;
                case SessionAction.Compared { SameHoldings: true, SameState: false }:
                    HubLog.SessionOdd(_host.Log, Name, "Both hold the same reports and derive another state from them: one of the two has a fault.");
                    break;
                case SessionAction.Compared:
                    break;
                default:
                    throw new InvalidOperationException($"Unknown action {action}.");
            }
        }

        private async Task AppendAsync(SessionAction.Append append)
        {
            AppendResult result;
            try
            {
                // Not cancelled with the session: what is queued becomes durable all the same.
                result = await _host.Intake.AppendAsync(append.Reports, CancellationToken.None).ConfigureAwait(false);
                if (result is AppendResult.Durable && _host.Seals is not null)
                {
                    _direct.Note(append.Reports);
                    Volatile.Write(ref _tookAt, _host.Clocks.Machine.GetTimestamp());
                }
            }
            catch (Exception failure) when (failure is ChannelClosedException or ObjectDisposedException or OperationCanceledException)
            {
                result = new AppendResult.Refused("The hub is stopping.");
            }

            _events.Writer.TryWrite(new SessionEvent.Appended(append.Ticket, result));
        }

        /// <summary>Writes down what the peer handed over itself and did not seal.</summary>
        private async Task WriteDirectAsync()
        {
            IReadOnlyList<TakenDirectly> taken = _direct.Take();
            if (taken.Count == 0)
            {
                return;
            }

            try
            {
                await _host.Intake.WriteAsync(taken, CancellationToken.None).ConfigureAwait(false);
            }
            catch (Exception failure) when (failure is ChannelClosedException or ObjectDisposedException)
            {
                // The hub is stopping. What was taken stays, and its writer's next seal covers it.
            }
        }

        private void Wake()
        {
            if (Interlocked.Exchange(ref _wakeQueued, 1) == 0)
            {
                _events.Writer.TryWrite(SessionEvent.Woke.Instance);
            }
        }

        private string Name => _session.Peer?.Node.Value ?? "a peer that said no hello";
    }

    private GrowthBoard Board => board;

    private ReportIntake Intake => intake;

    private ClockPairLog ClockPairs => clockPairs;

    private MergedView View => view;

    private HubOptions Options => options;

    private LinkBook Links => links;

    private SealKeeper? Seals => seals;

    private HubClocks Clocks => clocks;

    private ILogger Log => log;
}
