using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Sync.Session;
using KitMesh.TestKit.Sync;

namespace KitMesh.Tests.Sync.Session;

/// <summary>What a writer takes for an acknowledgement: a hub's word for its own reports, never for the numbers alone.</summary>
public sealed class AcknowledgementTests
{
    private readonly MeshNode _agent = new("power-1", NodeRole.Agent);
    private readonly MeshNode _hub = new("base-camp", NodeRole.Hub);
    private readonly ExchangeSession _session;

    public AcknowledgementTests()
    {
        WriteThree(_agent, "since the disk was put back");
        _session = _agent.Open();
        _session.Receive(
            new HelloFrame(1, 1, _hub.Node, NodeRole.Hub, "kitmesh 0.1", 1, 1 << 20, _hub.Clock, ClockTrust.HardwareClock, default),
            _agent.Now);
        _session.Receive(new HoldingsFrame([], Last: true), _agent.Now);
        Assert.Contains(Step(), action => action is SessionAction.Send { Frame: ReportsFrame });
    }

    private OriginId Origin => _agent.Journal.Own;

    [Fact]
    public void Durable_OwnChain_AcknowledgesUpToIt()
    {
        _session.Receive(Told(3, _agent.Journal.Have(Origin)!.ChainHash), _agent.Now);

        Assert.Equal(new SessionAction.Acknowledged(Origin, 3), Assert.Single(Step(), action => action is SessionAction.Acknowledged));
    }

    [Fact]
    public void Durable_ChainEndsAtAGap_AcknowledgesNothingBehindIt()
    {
        _session.Receive(Told(2, _agent.Journal.ChainAt(Origin, 2)!.Value), _agent.Now);

        Assert.Equal(new SessionAction.Acknowledged(Origin, 2), Assert.Single(Step(), action => action is SessionAction.Acknowledged));
    }

    [Fact]
    public void Durable_NumbersOnly_AcknowledgesNothing()
    {
        _session.Receive(Told(0, default), _agent.Now);

        Assert.DoesNotContain(Step(), action => action is SessionAction.Acknowledged);
        Assert.False(_session.IsClosed);
    }

    [Fact]
    public void Durable_OtherReportsUnderTheSameNumbers_OpensAnEpochAndAcknowledgesNothing()
    {
        // What the disk held before it was put back reached the hub from another one, in the middle of the session.
        var before = new MeshNode("power-1", NodeRole.Agent);
        WriteThree(before, "before the disk was put back");

        _session.Receive(Told(3, before.Journal.Have(Origin)!.ChainHash), _agent.Now);

        List<SessionAction> actions = Step();
        Assert.DoesNotContain(actions, action => action is SessionAction.Acknowledged);
        Assert.Contains(actions, action => action is SessionAction.OpenEpoch);
        Assert.Contains(actions, action => action is SessionAction.Closed { Reason: ByeReason.NewEpoch });
    }

    [Fact]
    public void Durable_MoreThanWasEverWritten_OpensAnEpoch()
    {
        _session.Receive(new DurableFrame([new DurableOrigin(Origin, SequenceRanges.Of(1, 4))]), _agent.Now);

        Assert.Contains(Step(), action => action is SessionAction.OpenEpoch);
    }

    private static void WriteThree(MeshNode node, string words)
    {
        for (int i = 0; i < 3; i++)
        {
            node.Write(new Note("keeper", null, words));
        }
    }

    private DurableFrame Told(ulong chainSequence, Sha256Hash chainHash) =>
        new([new DurableOrigin(Origin, SequenceRanges.Of(1, 3), chainSequence, chainHash)]);

    private List<SessionAction> Step()
    {
        var actions = new List<SessionAction>();
        while (_session.TryNext(out SessionAction? action))
        {
            actions.Add(action);
        }

        return actions;
    }
}
