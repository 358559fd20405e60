using KitMesh.Disk;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.Simulation.Checkers;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Seals;
using KitMesh.Sync.Session;
using KitMesh.TestKit.Disk;
using KitMesh.TestKit.Mutants;
using KitMesh.TestKit.Sync;
using NodaTime;

namespace KitMesh.Simulation;

/// <summary>A machine with a disk, clocks and one KitMesh process: the real journal and the real sessions, driven by hand.</summary>
internal sealed class SimulatedNode
{
    private const string Folder = "/data/journal";

    private readonly World _world;
    private readonly List<(SimulatedLink Link, ExchangeSession Session, long Ticket, IReadOnlyList<RawReport> Reports)> _appends = [];
    private readonly List<ReportBody> _own = [];
    private readonly List<(SimulatedLink Link, ExchangeSession Session)> _sessions = [];
    private readonly ReleaseCheck? _releases;
    private Journal? _journal;
    private IJournalView? _view;
    private OwnSeals? _seals;
    private DueSeal? _due;
    private readonly List<RawReport> _invented = [];
    private ClockPairLog _pairs = new();
    private CreditBudget _budget;
    private bool _isCommitDue;
    private bool _needsEpoch;
    private ulong? _epochToUseAgain;

    internal SimulatedNode(World world, string name, NodeRole role)
    {
        _world = world;
        Name = name;
        Node = NodeId.Parse(name);
        Role = role;
        Disk = new SimulatedDisk(world.Random.Next());
        _budget = new CreditBudget(world.Plan.BudgetBytes);
        _releases = role == NodeRole.Hub ? new ReleaseCheck(world, name) : null;
    }

    internal string Name { get; }

    internal NodeId Node { get; }

    internal NodeRole Role { get; }

    internal SimulatedDisk Disk { get; private set; }

    internal bool IsUp => _journal is not null;

    internal bool IsSlow { get; set; }

    internal Duration WallOffset { get; set; }

    internal HybridClock Hybrid { get; private set; }

    internal BootId Boot { get; private set; } = new(1);

    internal Journal Journal => _journal ?? throw new InvalidOperationException($"{Name} is down.");

    internal CreditBudget Budget => _budget;

    internal List<SimulatedLink> Links { get; } = [];

    /// <summary>Bytes of reports that wait for the journal, as credit counts them.</summary>
    internal long WaitingBytes { get; private set; }

    internal Instant Wall => World.Start + _world.Now + WallOffset;

    internal SessionMoment Moment() => new(new DeviceTime(Wall, Boot, _world.Now.ToInt64Nanoseconds()), ClockTrust.HardwareClock, Hybrid.Last, _world.Now);

    /// <summary>Starts the process; tries again later when the disk will not let it.</summary>
    internal void StartProcess()
    {
        if (IsUp)
        {
            return;
        }

        _world.Guard(this, () =>
        {
            IDisk disk = MutantDisk.Wrap(Disk, _world.Mutant);
            var options = new JournalOptions
            {
                Folder = Folder,
                Node = Node,
                SegmentBytes = _world.Plan.SegmentBytes,
                DropAcknowledged = Role == NodeRole.Agent && _world.Plan.AgentsDrop,
                KeepAfterAcknowledgement = Duration.FromSeconds(1),
                CompressionLevel = 1,
            };
            ulong epoch = _epochToUseAgain ?? _world.Random.Next();
            if (Journal.Open(disk, options, _world.Random.Next(), epoch) is JournalOpening.Opened opened)
            {
                _journal = opened.Journal;
                _view = MutantJournalView.Wrap(_journal, _world.Mutant, () => _appends.SelectMany(append => append.Reports).ToList());
                _seals = _world.HasForger ? new OwnSeals(_view, PlainSealKeys.SignerOf(Node), ReportCodec.Decode) : null;
                _world.NoteRecovery(this, _journal.Recovery);
                _releases?.Restart(_journal, Wall);
            }
            else
            {
                _world.Queue.After(Duration.FromSeconds(1), StartProcess);
            }
        });
    }

    /// <summary>The process ends without a word; with the power, unsynced pages go too.</summary>
    internal void Crash(bool power)
    {
        _world.Trace.Note(_world.Now, power ? "power cut" : "killed", Name);
        StopProcess();
        if (power)
        {
            Disk.CutPower(CutOutcome.Anything);
            Boot = new BootId(Boot.Value + 1);
            Hybrid = default;
            WallOffset = _world.Random.OneIn(3) ? -Duration.FromDays(365 * _world.Random.Between(1, 57)) : WallOffset;
        }
        else
        {
            Disk.KillProcess();
        }

        _world.Queue.After(Duration.FromMilliseconds(_world.Random.Between(100, 8000)), StartProcess);
    }

    internal void StopProcess()
    {
        _journal?.Dispose();
        _journal = null;
        _view = null;
        _seals = null;
        _invented.Clear();
        foreach ((SimulatedLink link, _) in _sessions.ToArray())
        {
            link.Cut("peer gone");
        }

        _sessions.Clear();
        _appends.Clear();
        WaitingBytes = 0;
        _own.RemoveAll(body => body is ClockPair or OriginSealed);
        if (_own.Count > 0)
        {
            // Nobody was told that these are safe; what measured them measures again.
            SayLater([.. _own]);
        }

        _own.Clear();
        _pairs = new ClockPairLog();
        _budget = new CreditBudget(_world.Plan.BudgetBytes);
        _isCommitDue = false;
        _needsEpoch = false;
    }

    /// <summary>Somebody puts an empty disk in.</summary>
    internal void ReplaceDisk()
    {
        _epochToUseAgain = _world.Mutant == Mutant.EpochUsedAgain && IsUp ? Journal.Own.Epoch : null;
        StopProcess();
        Disk = new SimulatedDisk(_world.Random.Next());
        _world.Queue.After(Duration.FromSeconds(2), StartProcess);
    }

    /// <summary>The disk goes back to an image that was taken while the machine was off.</summary>
    internal void RestoreDisk(SimulatedDisk image)
    {
        StopProcess();
        Disk = image;
        _world.Queue.After(Duration.FromSeconds(2), StartProcess);
    }

    /// <summary>Takes reports in that came over no link.</summary>
    internal void TakeIn(IReadOnlyList<RawReport> reports)
    {
        _invented.AddRange(reports);
        CommitSoon();
    }

    internal ExchangeSession OpenSession()
    {
        Seal(SealOccasion.SessionBegins);
        var options = new SessionOptions
        {
            Node = Node,
            Role = Role,
            FoldVersion = 1,
            Window = 128 << 10,
            FrameBytes = 4096 << _world.Random.Below(4),
            FrameReports = _world.Random.Between(1, 60),
            DurableTimeout = Duration.FromSeconds(15),
            TermsOf = _world.HasThinLinks ? _ => new LinkTerms(ReportUrgency.IsUrgent, new SimulatedMeter(_world)) : null,
        };
        return new ExchangeSession(options, _view!, _budget, _pairs, () => null, Moment());
    }

    internal void Join(SimulatedLink link, ExchangeSession session) => _sessions.Add((link, session));

    internal void Leave(ExchangeSession session) => _sessions.RemoveAll(open => open.Session == session);

    internal void Write(IEnumerable<ReportBody> bodies)
    {
        if (IsUp)
        {
            _own.AddRange(bodies);
            CommitSoon();
        }
    }

    private void SayLater(List<ReportBody> bodies) => _world.Queue.After(Duration.FromSeconds(2), () =>
    {
        if (IsUp)
        {
            Write(bodies);
        }
        else
        {
            SayLater(bodies);
        }
    });

    /// <summary>Does what a session asks, except sending.</summary>
    internal void Do(SimulatedLink link, ExchangeSession session, SessionAction action)
    {
        switch (action)
        {
            case SessionAction.Append append:
                _appends.Add((link, session, append.Ticket, append.Reports));
                WaitingBytes += append.Reports.Sum(report => (long)report.Bytes.Length + ReportsFrame.CostPerReport);
                if (_world.Mutant == Mutant.HoldingBeforeSync)
                {
                    Grew([append.Reports[0].Key.Origin]);
                }

                CommitSoon();
                break;
            case SessionAction.WriteOwn own:
                Write([own.Body]);
                break;
            case SessionAction.Acknowledged acknowledged:
                Acknowledged(acknowledged.Origin, acknowledged.UpTo);
                break;
            case SessionAction.OpenEpoch:
                _needsEpoch = true;
                CommitSoon();
                break;
            case SessionAction.PeerKnown known:
                Hybrid = _world.Mutant == Mutant.HybridClockFollows
                    ? new HybridClock(known.Peer.Hybrid.CompareTo(Hybrid.Last) > 0 ? known.Peer.Hybrid : Hybrid.Last)
                    : Hybrid.Receive(known.Peer.Hybrid, Wall, out _);
                break;
            case SessionAction.Odd odd:
                _world.Trace.Note(_world.Now, "odd", Name);
                _world.Trace.Tell($"             {odd.Words}");
                break;
            case SessionAction.Closed closed:
                _world.Trace.Note(_world.Now, $"closed {closed.Reason}", Name);
                _world.Trace.Tell($"             {closed.Words}");
                break;
        }
    }

    internal void BeforeSending(SessionFrame frame)
    {
        if (_world.Mutant == Mutant.AcknowledgedWhenSent && Role == NodeRole.Agent && frame is ReportsFrame reports)
        {
            Acknowledged(reports.Origin, reports.FirstSequence + (ulong)reports.Reports.Count - 1);
        }
    }

    internal SessionFrame Received(SessionFrame frame) => (_world.Mutant, frame) switch
    {
        (Mutant.CreditStretched, HelloFrame hello) => hello with { CreditBytes = hello.CreditBytes * 16 },
        (Mutant.CreditStretched, CreditFrame credit) => new CreditFrame(credit.Bytes * 16),
        _ => frame,
    };

    internal void Maintain()
    {
        if (IsUp)
        {
            _world.Guard(this, () => _ = Journal.Maintain(_world.Now));
            Seal(SealOccasion.NothingMoreToSay);
        }
    }

    // One at a time: the next is made from what is durable with this one.
    private void Seal(SealOccasion occasion)
    {
        if (IsUp && !_own.Exists(body => body is OriginSealed) && _seals?.Make(occasion, _world.Now) is { } due)
        {
            _due = due;
            Write([due.Seal]);
        }
    }

    internal HybridTime NextHybrid()
    {
        Hybrid = _world.Mutant == Mutant.HybridClockFollows && Hybrid.Last.CompareTo(Hybrid.Next(Wall).Last) > 0
            ? new HybridClock(new HybridTime(Hybrid.Last.Packed + 1))
            : Hybrid.Next(Wall);
        return Hybrid.Last;
    }

    private void Acknowledged(OriginId origin, ulong upTo)
    {
        _world.Promises.Relied(origin, upTo);
        Journal.Acknowledge(origin, upTo);
    }

    private void CommitSoon()
    {
        if (!_isCommitDue)
        {
            _isCommitDue = true;
            _world.Queue.After(Duration.FromMilliseconds(_world.Random.Between(1, IsSlow ? 4000 : 15)), Commit);
        }
    }

    private void Commit()
    {
        if (!IsUp || !_isCommitDue)
        {
            return;
        }

        _isCommitDue = false;
        if (!_world.Guard(this, CommitGroup))
        {
            return;
        }

        foreach (SimulatedLink link in Links)
        {
            if (link.IsOpen)
            {
                link.Pump();
            }
        }
    }

    private void CommitGroup()
    {
        if (_needsEpoch && Journal.OpenEpoch(_world.Random.Next()).Fault is null)
        {
            _needsEpoch = false;
        }

        var own = new List<RawReport>();
        List<ReportBody> bodies = [.. _own];
        _own.Clear();
        StageOutcome ownStaged = bodies.Count == 0 || Forgets(bodies) ? default : Journal.StageOwn([.. bodies.Select(body => Encoder(body, own))], Wall, out _);
        var appends = _appends.Select(append => (append.Session, append.Ticket, append.Reports, Staged: Journal.Stage(append.Reports, Wall))).ToList();
        if (_invented.Count > 0)
        {
            _ = Journal.Stage([.. _invented], Wall);
        }

        DiskResult committed = Journal.Commit();
        _appends.Clear();
        WaitingBytes = 0;
        _world.Trace.Note(_world.Now, committed.Fault is null ? "commit" : "commit failed", Name, own.Count + appends.Count);
        if (committed.Fault is null && ownStaged.Fault is null)
        {
            own.ForEach(report => _world.Promises.Durable(report.Key, _world.Contents.Of(report)));
        }
        else
        {
            // The reader was told that it failed and will say it again.
            _own.AddRange(bodies);
            _world.Queue.After(Duration.FromSeconds(1), CommitSoon);
        }

        foreach ((ExchangeSession session, long ticket, _, StageOutcome staged) in appends)
        {
            session.Appended(ticket, Journal.ToResult(staged, committed));
        }

        if (committed.Fault is null && _releases is not null)
        {
            _releases.Take([.. appends.SelectMany(append => append.Reports), .. _world.HasForger ? own : [], .. _invented], Wall);
        }

        Grew([.. own.Concat(appends.SelectMany(append => append.Reports)).Concat(_invented).Select(report => report.Key.Origin).Distinct()]);
        _invented.Clear();
    }

    private OwnReportEncoder Encoder(ReportBody said, List<RawReport> own) => key =>
    {
        ReportBody body = ReferenceEquals(said, _due?.Seal) ? _due.At(key) : said;
        HybridTime hybrid = NextHybrid();
        DeviceTime device = Moment().Device;
        byte[] bytes = ReportCodec.Encode(hybrid, device, body);
        var report = new RawReport(key, bytes);
        Sha256Hash content = _world.Contents.Of(report);
        own.Add(report);
        _world.Promises.Wrote(key, content);
        _world.Releases.Wrote(new Report(key, hybrid, device, body), content);
        return bytes;
    };

    private bool Forgets(List<ReportBody> bodies)
    {
        if (_world.Mutant != Mutant.AppendForgotten || !_world.Random.OneIn(20))
        {
            return false;
        }

        ulong next = Journal.Have(Journal.Own)?.Ranges.Last ?? 0;
        foreach (ReportBody body in bodies)
        {
            _world.Promises.Durable(new ReportKey(Journal.Own, ++next), Sha256Hash.Of(ReportCodec.Encode(NextHybrid(), Moment().Device, body)));
        }

        return true;
    }

    private void Grew(IReadOnlyCollection<OriginId> origins)
    {
        foreach ((_, ExchangeSession session) in _sessions.ToArray())
        {
            session.JournalGrew(origins);
        }
    }
}
