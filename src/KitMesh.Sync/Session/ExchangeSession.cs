using System.Diagnostics.CodeAnalysis;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using NodaTime;

namespace KitMesh.Sync.Session;

/// <summary>One side of one session between two nodes, as a stepped machine: no sockets, tasks or timers inside.</summary>
/// <remarks>
/// <para>
/// Problem: two nodes must end up with the same reports over links that break at any byte, without a slow one being
/// flooded, and with the same code for agent to hub and hub to hub. Method: both say hello and what they hold; each
/// then sends what the other lacks, as far as the other's credit goes, and says what became durable. Nothing about the
/// peer outlives the session: the next hello tells where to go on.
/// </para>
/// <para>
/// The host feeds what happened (<see cref="Receive"/>, <see cref="Appended"/>, <see cref="JournalGrew"/>,
/// <see cref="Tick"/>) and takes what to do (<see cref="TryNext"/>). Frames are made only when taken, so that nothing
/// piles up behind a slow link. Not safe for many threads at once: the host keeps one loop a session.
/// </para>
/// <para>
/// Traps: reports are sent only from the journal's durable part; nothing is sent before the peer's holdings are known
/// whole, since they may show that this disk was restored; a sequence that the peer has acknowledges
/// nothing unless the chain hash up to it is the writer's own. docs/sync-protocol.md tells it all.
/// </para>
/// </remarks>
public sealed partial class ExchangeSession
{
    private readonly SessionOptions _options;
    private readonly IJournalView _journal;
    private readonly IncomingCredit _incoming;
    private readonly ProgressTable _progress = new();
    private readonly SendPlan _plan;
    private readonly DurableNews _news;
    private readonly ForkTalk _forks;
    private readonly ClockProbing _probing;
    private readonly Func<Sha256Hash?> _stateFingerprint;
    private readonly Queue<SessionAction> _actions = new();
    private readonly Queue<Holding> _holdingsToSay = new();
    private readonly Dictionary<long, long> _appends = [];
    private readonly List<Holding> _heard = [];

    private SessionMoment _now;
    private Duration _started;
    private Duration _lastAnswer;
    private Duration _nextFingerprint = Duration.MinValue;
    private HelloFrame? _peer;
    private LinkTerms? _terms;
    private long _credit;
    private long _lastTicket;
    private bool _saidHoldings;
    private bool _heardHoldings;
    private ulong _workHeard;
    private ulong _workSaid;
    private ulong _workDoneByPeer;
    private bool _restStale = true;
    private bool _fingerprintStale = true;
    private bool _finishing;
    private bool _closed;

    /// <summary>A session that is about to say hello.</summary>
    /// <param name="options">How it behaves.</param>
    /// <param name="journal">What is durable here.</param>
    /// <param name="budget">Credit of all sessions of this node.</param>
    /// <param name="clockPairs">Clock pairs that were already reported.</param>
    /// <param name="stateFingerprint">The present state fingerprint, or null when there is none; asked at most once a minute.</param>
    /// <param name="now">The clocks.</param>
    public ExchangeSession(
        SessionOptions options,
        IJournalView journal,
        CreditBudget budget,
        ClockPairLog clockPairs,
        Func<Sha256Hash?> stateFingerprint,
        SessionMoment now)
    {
        options.Validate();
        _options = options;
        _journal = journal;
        _incoming = new IncomingCredit(budget);
        _plan = new SendPlan(journal, options, _progress);
        _news = new DurableNews(journal, _progress);
        _forks = new ForkTalk(journal);
        _probing = new ClockProbing(clockPairs);
        _stateFingerprint = stateFingerprint;
        _now = now;
        _started = _lastAnswer = now.Machine;
        Say(new HelloFrame(
            options.LowestVersion,
            options.HighestVersion,
            options.Node,
            options.Role,
            options.Software.Length <= 100 ? options.Software : options.Software[..100],
            options.FoldVersion,
            TakesReports ? _incoming.Open(options.Window) : 0,
            now.Device,
            now.Trust,
            now.Hybrid));
    }

    /// <summary>Whether the session has ended; the last action was, or will be, <see cref="SessionAction.Closed"/>.</summary>
    public bool IsClosed => _closed;

    /// <summary>Who the peer is, once it said hello.</summary>
    public HelloFrame? Peer => _peer;

    /// <summary>Whether both know what the other holds and nothing waits to be sent, answered or written.</summary>
    public bool IsIdle =>
        _heardHoldings && _saidHoldings && _actions.Count == 0 && _plan.IsEmpty && _forks.IsEmpty && !_incoming.Busy && !_progress.Awaits
        && !_probing.Waits(_now);

    /// <summary>The host has appended (or failed to).</summary>
    /// <param name="ticket">From <see cref="SessionAction.Append"/>.</param>
    /// <param name="result">What the journal said.</param>
    public void Appended(long ticket, AppendResult result)
    {
        if (!_appends.Remove(ticket, out long cost))
        {
            return;
        }

        if (_closed)
        {
            _incoming.SettleLate(cost);
            return;
        }

        _incoming.Settle(cost);
        switch (result)
        {
            case AppendResult.Durable durable:
                if (durable.Forks.Count > 0)
                {
                    _actions.Enqueue(new SessionAction.ForksKept(durable.Forks));
                }

                break;
            case AppendResult.Failed failed:
                End(ByeReason.Disk, $"The disk of {_options.Node} failed, so nothing unacknowledged is kept here; keep it and come back later. {failed.Fault}");
                break;
            case AppendResult.Refused refused:
                End(ByeReason.Protocol, $"The journal of {_options.Node} refused a batch: {refused.Reason}");
                break;
        }
    }

    /// <summary>More reports are durable here, from this peer or elsewhere.</summary>
    /// <param name="origins">Whose.</param>
    public void JournalGrew(IEnumerable<OriginId> origins)
    {
        ArgumentNullException.ThrowIfNull(origins);
        foreach (OriginId origin in origins)
        {
            if (_peer is not null && Concerns(origin))
            {
                _news.Look(origin);
                Offer(origin);
            }
        }

        _fingerprintStale = true;
    }

    /// <summary>Time has passed: at least once a second while the session lives.</summary>
    /// <param name="now">The clocks.</param>
    public void Tick(SessionMoment now)
    {
        _now = now;
        if (_closed)
        {
            return;
        }

        if (_peer is null && now.Machine - _started > _options.HelloTimeout)
        {
            End(ByeReason.Protocol, $"No hello came within {_options.HelloTimeout.TotalSeconds:0} s.");
        }
        else if (_progress.Awaits && now.Machine - _lastAnswer > _options.DurableTimeout)
        {
            End(ByeReason.GoingAway, $"Sent reports were not answered for {_options.DurableTimeout.TotalSeconds:0} s; they are kept here and sent again.");
        }
        else if (!_progress.Awaits)
        {
            _lastAnswer = now.Machine;
        }

        if (TakesReports)
        {
            _incoming.Retry(_options.Window);
        }
    }

    /// <summary>Ends the session with <see cref="ByeReason.Done"/> once everything is sent and answered and the peer has nothing more to say either.</summary>
    public void Finish() => _finishing = true;

    /// <summary>Ends the session now.</summary>
    /// <param name="reason">Why.</param>
    /// <param name="words">The same for a person.</param>
    public void Close(ByeReason reason, string words)
    {
        if (!_closed)
        {
            End(reason, words);
        }
    }

    /// <summary>The link broke: nothing more can be said. Gives the credit back.</summary>
    public void Cut()
    {
        if (!_closed)
        {
            Shut(new SessionAction.Closed(ByeReason.Unknown, "The link broke.", ByPeer: false));
        }
    }

    /// <summary>What to do next, if anything. Call until it gives nothing, after every step.</summary>
    /// <param name="action">The action.</param>
    public bool TryNext([NotNullWhen(true)] out SessionAction? action)
    {
        action = _actions.TryDequeue(out SessionAction? waiting) ? waiting : Make();
        return action is not null;
    }

    /// <summary>Only a hub wants reports, so only a hub sets memory aside for them.</summary>
    private bool TakesReports => _options.Role == NodeRole.Hub;

    private SessionAction? Make()
    {
        if (_closed || _peer is null)
        {
            return null;
        }

        if (MakeFrame() is { } frame)
        {
            if (IsWork(frame))
            {
                _workSaid++;
                _restStale = true;
            }

            return new SessionAction.Send(frame);
        }

        if (_actions.TryDequeue(out SessionAction? waiting))
        {
            return waiting;
        }

        if (_finishing && IsIdle && _workDoneByPeer == _workSaid)
        {
            End(ByeReason.Done, "All is said.");
            return _actions.Dequeue();
        }

        return null;
    }

    private SessionFrame? MakeFrame() =>
        MakeHoldings()
        ?? (_probing.Due(_now) as SessionFrame)
        ?? _news.Next(_peer!.Node)
        ?? MakeCredit()
        ?? (_heardHoldings ? _forks.Next() ?? MakeReports() ?? MakeFingerprint() ?? (SessionFrame?)MakeRest() : null);

    /// <summary>Whether the peer has to do something with a frame, perhaps answer: what <see cref="RestFrame"/> counts.</summary>
    private static bool IsWork(SessionFrame frame) => frame is HoldingsFrame or ReportsFrame or CompareFrame or ContentsFrame;

    private HoldingsFrame? MakeHoldings()
    {
        if (_saidHoldings)
        {
            return null;
        }

        var part = new List<Holding>();
        while (part.Count < HoldingsFrame.MaxHoldings && _holdingsToSay.TryDequeue(out Holding? holding))
        {
            part.Add(holding);
        }

        _saidHoldings = _holdingsToSay.Count == 0;
        return new HoldingsFrame(part.ToValueList(), _saidHoldings);
    }

    private CreditFrame? MakeCredit()
    {
        long grant = _incoming.TakeOwed();
        return grant == 0 ? null : new CreditFrame(grant);
    }

    private ReportsFrame? MakeReports()
    {
        if (_peer is not { Role: NodeRole.Hub })
        {
            return null;
        }

        ReportsFrame? frame = _plan.Next(_credit, out JournalDamage? damage);
        if (damage is not null)
        {
            _actions.Enqueue(new SessionAction.Odd($"The journal is damaged: {damage.Detail} ({damage.File}, byte {damage.Offset})."));
        }

        if (frame is not null)
        {
            if (!_progress.Awaits)
            {
                _lastAnswer = _now.Machine;
            }

            _credit -= frame.Cost;
            _fingerprintStale = true;
        }

        return frame;
    }

    private FingerprintFrame? MakeFingerprint()
    {
        if (!_fingerprintStale || _options.Role != NodeRole.Hub || _peer is not { Role: NodeRole.Hub } || _now.Machine < _nextFingerprint || !IsIdle)
        {
            return null;
        }

        _fingerprintStale = false;
        _nextFingerprint = _now.Machine + _options.FingerprintInterval;
        return new FingerprintFrame(HoldingsFingerprint.Of(_journal.Have()), _stateFingerprint(), _options.FoldVersion);
    }

    private RestFrame? MakeRest()
    {
        if (!_restStale || !IsIdle)
        {
            return null;
        }

        _restStale = false;
        return new RestFrame(_workHeard);
    }

    /// <summary>What the peer may want to hear of: everything for a hub, its own for an agent.</summary>
    private bool Concerns(OriginId origin) => _peer!.Role == NodeRole.Hub || origin.Node == _peer.Node;

    private void Offer(OriginId origin)
    {
        if (_heardHoldings && _peer!.Role == NodeRole.Hub)
        {
            _plan.Look(origin);
        }
    }

    private void Say(SessionFrame frame) => _actions.Enqueue(new SessionAction.Send(frame));

    private void End(ByeReason reason, string words)
    {
        Say(new ByeFrame(reason, words));
        Shut(new SessionAction.Closed(reason, words, ByPeer: false));
    }

    private void Shut(SessionAction.Closed end)
    {
        _closed = true;
        _incoming.Close();
        _actions.Enqueue(end);
    }
}
