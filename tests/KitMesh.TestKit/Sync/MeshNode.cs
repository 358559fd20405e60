using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Session;
using NodaTime;

namespace KitMesh.TestKit.Sync;

/// <summary>A node for tests of sessions: a journal in memory, clocks that the test moves, and the sessions that are open.</summary>
public sealed class MeshNode
{
    private readonly List<ExchangeSession> _sessions = [];
    private HybridClock _hybrid;
    private Instant _zero = Instant.FromUtc(2027, 2, 1, 6, 0);
    private ulong _nextEpoch = 100;

    public MeshNode(string name, NodeRole role, MeshTime? time = null)
    {
        Time = time ?? new MeshTime();
        Node = NodeId.Parse(name);
        Role = role;
        Journal = new MemoryJournal(new OriginId(Node, 1));
    }

    public NodeId Node { get; }

    public NodeRole Role { get; }

    public MemoryJournal Journal { get; set; }

    public CreditBudget Budget { get; init; } = new(16L << 20);

    public ClockPairLog ClockPairs { get; } = new();

    public MeshTime Time { get; }

    /// <summary>What the wall clock shows; setting it sets the clock.</summary>
    public Instant Wall
    {
        get => _zero + Time.Passed;
        set => _zero = value - Time.Passed;
    }

    public Duration Machine => Time.Passed;

    public BootId Boot { get; set; } = new(7);

    public ClockTrust Trust { get; set; } = ClockTrust.HardwareClock;

    public Func<MeshNode, SessionOptions, SessionOptions> Configure { get; set; } = (_, options) => options;

    /// <summary>Reports acknowledged by a hub, by epoch: what this node relies on.</summary>
    public Dictionary<OriginId, ulong> Acknowledged { get; } = [];

    public List<SessionAction> Log { get; } = [];

    public DeviceTime Clock => new(Wall, Boot, Machine.ToInt64Nanoseconds());

    public SessionMoment Now => new(Clock, Trust, _hybrid.Last, Machine);

    public void Pass(Duration duration) => Time.Pass(duration);

    public ReportKey Write(ReportBody body)
    {
        _hybrid = _hybrid.Next(Wall);
        ReportKey key = Journal.AppendOwn(_ => ReportCodec.Encode(_hybrid.Last, Clock, body));
        Grew([key.Origin]);
        return key;
    }

    public ExchangeSession Open()
    {
        var options = new SessionOptions { Node = Node, Role = Role, FoldVersion = 1 };
        var session = new ExchangeSession(Configure(this, options), Journal, Budget, ClockPairs, () => Journal.All.Fingerprint(), Now);
        _sessions.Add(session);
        return session;
    }

    public void Leave(ExchangeSession session) => _sessions.Remove(session);

    public void Grew(IReadOnlyCollection<OriginId> origins)
    {
        foreach (ExchangeSession session in _sessions)
        {
            session.JournalGrew(origins);
        }
    }

    /// <summary>Does what a session asks, except sending.</summary>
    public void Do(ExchangeSession session, SessionAction action)
    {
        Log.Add(action);
        switch (action)
        {
            case SessionAction.Append append:
                session.Appended(append.Ticket, Journal.Append(append.Reports));
                Grew([append.Reports[0].Key.Origin]);
                break;
            case SessionAction.WriteOwn own:
                Write(own.Body);
                break;
            case SessionAction.Acknowledged acknowledged:
                Acknowledged[acknowledged.Origin] = acknowledged.UpTo;
                break;
            case SessionAction.OpenEpoch:
                Journal.OpenEpoch(_nextEpoch++);
                break;
            case SessionAction.PeerKnown known:
                _hybrid = _hybrid.Receive(known.Peer.Hybrid, Wall, out _);
                break;
        }
    }
}
