using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Exchange;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Session;
using KitMesh.TestKit.Sync;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Sync.Session;

/// <summary>What a session does with a peer that breaks the rules: it says why, keeps what is durable, and ends.</summary>
public sealed class SessionRulesTests
{
    private static readonly OriginId Origin = new(NodeId.Parse("power-1"), 1);

    private readonly MeshNode _hub = new("base-camp", NodeRole.Hub);
    private readonly ExchangeSession _session;

    public SessionRulesTests() => _session = _hub.Open();

    [Fact]
    public void Hello_MajorVersionTooNew_IsRefusedInWords()
    {
        ByeFrame bye = ByeAfter(Hello() with { LowestVersion = 4, HighestVersion = 5 });

        Assert.Equal(ByeReason.Version, bye.Reason);
        Assert.Equal(
            "power-1 speaks protocol versions 4 to 5, base-camp speaks 1 to 1: install newer software on base-camp. Nothing is lost meanwhile.",
            bye.Words);
    }

    [Fact]
    public void Hello_VersionsOverlap_IsAccepted()
    {
        _session.Receive(Hello() with { LowestVersion = 1, HighestVersion = 7 }, _hub.Now);

        Assert.False(_session.IsClosed);
    }

    [Fact]
    public void Hello_OtherNameThanTheCertificate_IsForbidden()
    {
        var hub = new MeshNode("base-camp", NodeRole.Hub) { Configure = (_, options) => options with { ExpectedPeer = NodeId.Parse("station-1") } };
        ExchangeSession session = hub.Open();

        session.Receive(Hello(), hub.Now);

        Assert.Equal(ByeReason.Forbidden, Bye(session).Reason);
    }

    [Fact]
    public void Hello_OwnName_IsForbidden() => Assert.Equal(ByeReason.Forbidden, ByeAfter(Hello() with { Node = _hub.Node }).Reason);

    [Fact]
    public void Hello_Twice_EndsTheSession() => Assert.Equal(ByeReason.Protocol, ByeAfter(Hello(), Hello()).Reason);

    [Fact]
    public void Reports_BeforeHello_EndTheSession() => Assert.Equal(ByeReason.Protocol, ByeAfter(Batch(1, 10)).Reason);

    [Fact]
    public void Reports_PastTheCredit_EndTheSession()
    {
        ByeFrame bye = ByeAfter(Hello(), Batch(1, ReportsFrame.MaxReportBytes), Batch(2, 1 << 20));

        Assert.Equal(ByeReason.Protocol, bye.Reason);
        Assert.Contains("more than it was granted", bye.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Reports_OfAnotherNode_AreForbiddenToAnAgent()
    {
        var foreign = new ReportsFrame(new OriginId(NodeId.Parse("station-1"), 1), 1, [new byte[10]]);

        Assert.Equal(ByeReason.Forbidden, ByeAfter(Hello(), foreign).Reason);
    }

    [Fact]
    public void Reports_OfAnotherNode_AreTakenFromAHub()
    {
        _session.Receive(Hello() with { Role = NodeRole.Hub }, _hub.Now);
        _session.Receive(new ReportsFrame(new OriginId(NodeId.Parse("station-1"), 1), 1, [new byte[10]]), _hub.Now);

        Assert.False(_session.IsClosed);
    }

    [Fact]
    public void Reports_DiskFails_PartsWithoutAcknowledging()
    {
        _session.Receive(Hello(), _hub.Now);
        _session.Receive(Batch(1, 10), _hub.Now);
        SessionAction.Append append = Actions().OfType<SessionAction.Append>().Single();

        _session.Appended(append.Ticket, new AppendResult.Failed(new KitMesh.Disk.DiskFault(KitMesh.Disk.DiskFaultKind.NoSpace, "write", "journal", "no space left")));

        ByeFrame bye = Bye(_session);
        Assert.Equal(ByeReason.Disk, bye.Reason);
    }

    [Fact]
    public void Reports_NotYetDurable_AreNotAcknowledged()
    {
        _session.Receive(Hello(), _hub.Now);
        _session.Receive(Batch(1, 10), _hub.Now);
        List<SessionAction> before = Actions();
        SessionAction.Append append = before.OfType<SessionAction.Append>().Single();
        Assert.DoesNotContain(before, action => action is SessionAction.Send { Frame: DurableFrame });

        _session.Appended(append.Ticket, _hub.Journal.Append(append.Reports));
        _session.JournalGrew([Origin]);

        DurableFrame durable = Actions().OfType<SessionAction.Send>().Select(send => send.Frame).OfType<DurableFrame>().Single();
        Assert.Equal(
            new DurableOrigin(Origin, SequenceRanges.Of(1, 1), 1, ReportChain.Next(ReportChain.Seed(Origin), 1, append.Reports[0].Bytes.Span)),
            Assert.Single(durable.Origins));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Reports_OnTheirWayWhenTheSessionEnds_KeepTheirCreditUntilTheDiskAnswered(bool diskFails)
    {
        long before = _hub.Budget.Free;
        ExchangeSession session = _hub.Open();
        session.Receive(Hello(), _hub.Now);
        ReportsFrame batch = Batch(1, 10);
        session.Receive(batch, _hub.Now);
        var appends = new List<SessionAction.Append>();
        while (session.TryNext(out SessionAction? action))
        {
            appends.AddRange(action is SessionAction.Append one ? [one] : []);
        }

        session.Cut();
        Assert.Equal(before - batch.Cost, _hub.Budget.Free);

        SessionAction.Append append = Assert.Single(appends);
        session.Appended(append.Ticket, diskFails ? new AppendResult.Refused("stopping") : _hub.Journal.Append(append.Reports));
        Assert.Equal(before, _hub.Budget.Free);
    }

    [Fact]
    public void Frame_OfALaterVersion_IsPassedOver()
    {
        _session.Receive(Hello(), _hub.Now);
        _session.Receive(FrameCodec.Read(V1.Frame.Parser.ParseFrom([0xFA, 0x07, 1, 0])), _hub.Now);

        Assert.False(_session.IsClosed);
        Assert.Contains(Actions(), action => action is SessionAction.Odd);
    }

    [Fact]
    public void Frame_Malformed_EndsTheSessionInWords()
    {
        _session.Receive(Hello(), _hub.Now);
        var empty = new V1.Frame { Reports = new V1.Reports { Origin = new V1.Origin { Node = "power-1", Epoch = 1 }, FirstSequence = 1 } };

        ByeFrame bye = ByeAfter(FrameCodec.Read(empty));

        Assert.Equal(ByeReason.Protocol, bye.Reason);
        Assert.Contains("0 reports; 1 to 4096 are allowed", bye.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Tick_NoHello_EndsAfterTenSeconds()
    {
        _hub.Pass(Duration.FromSeconds(9));
        _session.Tick(_hub.Now);
        Assert.False(_session.IsClosed);

        _hub.Pass(Duration.FromSeconds(2));
        _session.Tick(_hub.Now);

        Assert.Equal(ByeReason.Protocol, Bye(_session).Reason);
    }

    [Fact]
    public void Tick_SentReportsUnanswered_EndsAfterTwoMinutes()
    {
        _hub.Write(new Note("keeper", null, "hello"));
        _session.Receive(Hello() with { Node = NodeId.Parse("ridge-hub"), Role = NodeRole.Hub, CreditBytes = 1 << 20 }, _hub.Now);
        _session.Receive(new HoldingsFrame([], Last: true), _hub.Now);
        Assert.Contains(Actions(), action => action is SessionAction.Send { Frame: ReportsFrame });

        _hub.Pass(Duration.FromSeconds(121));
        _session.Tick(_hub.Now);

        Assert.Equal(ByeReason.GoingAway, Bye(_session).Reason);
    }

    [Fact]
    public void Peer_GivesNoCredit_GetsNothing()
    {
        _hub.Write(new Note("keeper", null, "hello"));
        _session.Receive(Hello() with { Node = NodeId.Parse("ridge-hub"), Role = NodeRole.Hub, CreditBytes = 0 }, _hub.Now);
        _session.Receive(new HoldingsFrame([], Last: true), _hub.Now);
        Assert.DoesNotContain(Actions(), action => action is SessionAction.Send { Frame: ReportsFrame });

        _session.Receive(new CreditFrame(100_000), _hub.Now);

        Assert.Contains(Actions(), action => action is SessionAction.Send { Frame: ReportsFrame });
    }

    [Fact]
    public void Credit_OfAllSessions_IsBoundedAndComesBack()
    {
        var budget = new CreditBudget(1 << 20);
        var hub = new MeshNode("base-camp", NodeRole.Hub) { Budget = budget };
        ExchangeSession[] sessions = [.. Enumerable.Range(0, 20).Select(_ => hub.Open())];
        long granted = sessions.Sum(session => session.TryNext(out SessionAction? hello) ? ((HelloFrame)((SessionAction.Send)hello).Frame).CreditBytes : 0);
        Assert.Equal(budget.Total - budget.Free, granted);
        Assert.InRange(budget.Free, 0, CreditBudget.LeastWindow);

        foreach (ExchangeSession session in sessions)
        {
            session.Cut();
        }

        Assert.Equal(budget.Total, budget.Free);
    }

    [Fact]
    public void Compare_EndlessRanges_AreAnsweredFromWhatIsKeptOnly()
    {
        _hub.Journal.Append([new RawReport(new ReportKey(Origin, 1), new byte[] { 1 })]);
        _session.Receive(Hello() with { Role = NodeRole.Hub }, _hub.Now);
        _session.Receive(new HoldingsFrame([], Last: true), _hub.Now);

        _session.Receive(new CompareFrame(Origin, [new RangeHash(new SequenceRange(1, ulong.MaxValue - 1), default)]), _hub.Now);

        CompareFrame answer = Actions().OfType<SessionAction.Send>().Select(send => send.Frame).OfType<CompareFrame>().Single();
        Assert.Equal(16, answer.Ranges.Count);
    }

    private static HelloFrame Hello() => new(
        1, 1, NodeId.Parse("power-1"), NodeRole.Agent, "test", 0, 0, new DeviceTime(default, default, 0), ClockTrust.Unknown, default);

    private static ReportsFrame Batch(ulong first, int bytes) => new(
        Origin,
        first,
        [.. Enumerable.Repeat(0, Math.Max(1, bytes / ReportsFrame.MaxReportBytes)).Select(_ => new ReadOnlyMemory<byte>(new byte[Math.Min(bytes, ReportsFrame.MaxReportBytes)]))]);

    private static ByeFrame Bye(ExchangeSession session)
    {
        Assert.True(session.IsClosed);
        ByeFrame? bye = null;
        SessionAction? last = null;
        while (session.TryNext(out SessionAction? action))
        {
            bye = action is SessionAction.Send { Frame: ByeFrame frame } ? frame : bye;
            last = action;
        }

        Assert.IsType<SessionAction.Closed>(last);
        return bye!;
    }

    private ByeFrame ByeAfter(params SessionFrame[] frames)
    {
        foreach (SessionFrame frame in frames)
        {
            _session.Receive(frame, _hub.Now);
        }

        return Bye(_session);
    }

    private List<SessionAction> Actions()
    {
        var actions = new List<SessionAction>();
        while (_session.TryNext(out SessionAction? action))
        {
            actions.Add(action);
        }

        return actions;
    }
}
