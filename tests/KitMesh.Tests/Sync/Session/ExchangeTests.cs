using CsCheck;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Sync.Merge;
using KitMesh.Sync.Session;
using KitMesh.TestKit.Reports;
using KitMesh.TestKit.Sync;
using NodaTime;

namespace KitMesh.Tests.Sync.Session;

/// <summary>Whole sessions between nodes in memory, over real frame bytes, cut wherever a link can break.</summary>
public sealed class ExchangeTests
{
    [Fact]
    public void AgentToHub_FreshHub_HoldsEverythingAndAcknowledges()
    {
        MeshNode agent = Agent("power-1", reports: 300);
        MeshNode hub = Hub("base-camp");

        MeshLink.Exchange(agent, hub);

        Assert.True(hub.Journal.All.Holds(agent.Journal.All));
        Assert.Equal(agent.Journal.OwnLast, agent.Acknowledged[agent.Journal.Own]);
        Assert.Contains(agent.Log, action => action is SessionAction.Closed { Reason: ByeReason.Done });
    }

    [Fact]
    public void AgentToHub_AgentGetsNobodyElsesReports()
    {
        MeshNode agent = Agent("power-1", reports: 3);
        MeshNode hub = Hub("base-camp");
        hub.Write(new Note("keeper", null, "not for agents"));

        MeshLink link = MeshLink.Exchange(agent, hub);

        Assert.DoesNotContain(agent.Journal.Have(), holding => holding.Origin.Node != agent.Node);
        Assert.DoesNotContain(link.Frames.OfType<HoldingsFrame>().SelectMany(frame => frame.Holdings), holding => holding.Origin.Node == hub.Node);
    }

    [Fact]
    public void AgentToHub_CutAtEveryFrame_LosesNothingAndSendsNothingTwice()
    {
        int whole = MeshLink.Exchange(Agent("power-1", reports: 60, small: true), Hub("base-camp", small: true)).Delivered;
        Assert.InRange(whole, 20, 400);

        for (int cut = 0; cut <= whole; cut++)
        {
            MeshNode agent = Agent("power-1", reports: 60, small: true);
            MeshNode hub = Hub("base-camp", small: true);
            MeshLink.Exchange(agent, hub, mostFrames: cut);
            ulong relied = agent.Acknowledged.GetValueOrDefault(agent.Journal.Own);
            Assert.True(relied <= (hub.Journal.Have(agent.Journal.Own)?.Ranges.PrefixEnd ?? 0), $"cut {cut}: acknowledged more than is held");

            MeshLink.Exchange(agent, hub);

            Assert.True(hub.Journal.All.Holds(agent.Journal.All), $"cut {cut}: something is missing");
            Assert.Equal(0, hub.Journal.Duplicates);
        }
    }

    [Fact]
    public void HubToHub_BothHaveNews_BothEndUpEqual()
    {
        MeshNode left = Hub("base-camp");
        MeshNode right = Hub("ridge-hub");
        MeshLink.Exchange(Agent("power-1", reports: 50), left);
        MeshLink.Exchange(Agent("station-1", reports: 70), right);

        MeshLink.Exchange(left, right);

        Assert.Equal(left.Journal.All, right.Journal.All);
    }

    [Fact]
    public void HubToHub_NothingMoreToSay_FingerprintsAgree()
    {
        MeshNode left = Hub("base-camp");
        MeshNode right = Hub("ridge-hub");
        MeshLink.Exchange(Agent("power-1", reports: 5), left);
        MeshLink.Exchange(left, right);

        MeshLink.Exchange(left, right);

        Assert.Contains(new SessionAction.Compared(true, true), left.Log);
        Assert.Contains(new SessionAction.Compared(true, true), right.Log);
    }

    [Fact]
    public void ThreeHubsInALoop_ReportsWrittenMeanwhile_ReachAllOnceEach()
    {
        var time = new MeshTime();
        MeshNode a = Hub("hub-a", time: time);
        MeshNode b = Hub("hub-b", time: time);
        MeshNode c = Hub("hub-c", time: time);
        MeshLink[] links = [new(a, b), new(b, c), new(c, a)];
        for (int i = 0; i < 20; i++)
        {
            a.Write(new Note("a", null, $"{i}"));
            b.Write(new Note("b", null, $"{i}"));
            foreach (MeshLink link in links)
            {
                link.Step();
            }
        }

        while (links.Any(link => link.Step()))
        {
        }

        Assert.Equal(a.Journal.All, b.Journal.All);
        Assert.Equal(a.Journal.All, c.Journal.All);
        Assert.All(links, link => Assert.False(link.Left.IsClosed || link.Right.IsClosed));
    }

    [Fact]
    public void AnyTopology_AnyCuts_HealsToTheUnionOfEverything() => Gen.Int.Sample(
        seed =>
        {
            var random = new Random(seed);
            var time = new MeshTime();
            MeshNode[] hubs = [.. Enumerable.Range(0, random.Next(2, 6)).Select(i => Hub($"hub-{i}", random.Next(2) == 0, time))];
            MeshNode[] agents = [.. Enumerable.Range(0, random.Next(1, 4)).Select(i => Agent($"agent-{i}", random.Next(0, 40), random.Next(2) == 0, time))];
            var edges = new List<(MeshNode, MeshNode)>();
            for (int i = 1; i < hubs.Length; i++)
            {
                edges.Add((hubs[i], hubs[random.Next(i)]));
            }

            edges.AddRange(Enumerable.Range(0, 2).Select(_ => (hubs[random.Next(hubs.Length)], hubs[random.Next(hubs.Length)])).Where(edge => edge.Item1 != edge.Item2));
            edges.AddRange(agents.Select(agent => (agent, hubs[random.Next(hubs.Length)])));
            for (int i = 0; i < 12; i++)
            {
                (MeshNode left, MeshNode right) = edges[random.Next(edges.Count)];
                MeshLink.Exchange(left, right, mostFrames: random.Next(30));
                MeshNode writer = random.Next(2) == 0 ? left : right;
                writer.Write(new ReportDraw(random.Next()).Body());
                writer.Pass(Duration.FromMinutes(random.Next(10)));
            }

            Heal(edges);

            ReportSet union = hubs.Concat(agents).Aggregate(ReportSet.Empty, (all, node) => all.Union(node.Journal.All));
            Assert.All(hubs, hub => Assert.Equal(union, hub.Journal.All));
        },
        iter: 60);

    [Fact]
    public void RestoredAgent_HubHoldsMore_OpensAnEpochAndBothHistoriesStay()
    {
        MeshNode agent = Agent("power-1", reports: 40);
        MeshNode hub = Hub("base-camp");
        MemoryJournal backup = agent.Journal.Backup();
        agent.Write(new Note("a", null, "written after the backup"));
        MeshLink.Exchange(agent, hub);
        OriginId old = agent.Journal.Own;

        agent.Journal = backup;
        MeshLink first = MeshLink.Exchange(agent, hub);
        agent.Write(new Note("a", null, "written after the restore"));
        MeshLink.Exchange(agent, hub);

        Assert.Contains(first.Frames, frame => frame is ByeFrame { Reason: ByeReason.NewEpoch } bye && bye.Words.Contains("restored", StringComparison.Ordinal));
        Assert.NotEqual(old, agent.Journal.Own);
        Assert.True(hub.Journal.All.Holds(agent.Journal.All));
        Assert.Contains(hub.Journal.Have(), holding => holding.Origin == old && holding.Ranges.Last > 40);
        Assert.Empty(hub.Journal.All.Forks);
    }

    [Fact]
    public void RestoredAgent_WroteOverItsOwnSequences_BothContentsReachTheHub()
    {
        MeshNode agent = Agent("power-1", reports: 40);
        MeshNode hub = Hub("base-camp");
        MemoryJournal backup = agent.Journal.Backup();
        agent.Write(new Note("a", null, "the hub has this"));
        MeshLink.Exchange(agent, hub);
        agent.Journal = backup;
        for (int i = 0; i < 5; i++)
        {
            agent.Write(new Note("a", null, $"other content {i}"));
        }

        MeshLink.Exchange(agent, hub);
        MeshLink.Exchange(agent, hub);

        Assert.True(hub.Journal.All.Holds(agent.Journal.All));
        Assert.NotEmpty(hub.Journal.All.Forks);
        Assert.Contains(hub.Log, action => action is SessionAction.ForksKept);
    }

    [Fact]
    public void ForkedOrigins_BetweenHubs_AreExchangedBothWays() => Gen.Select(Gen.Int, Gen.Int[1, 600]).Sample(
        (seed, length) =>
        {
            var random = new Random(seed);
            MeshNode left = Hub("hub-a");
            MeshNode right = Hub("hub-b");
            var origin = new OriginId(NodeId.Parse("power-1"), 5);
            for (ulong sequence = 1; sequence <= (ulong)length; sequence++)
            {
                byte[] plain = [1, (byte)sequence, (byte)(sequence >> 8)];
                left.Journal.Append([new RawReport(new ReportKey(origin, sequence), plain)]);
                right.Journal.Append([new RawReport(new ReportKey(origin, sequence), random.Next(40) == 0 ? [2, .. plain] : plain)]);
            }

            MeshLink.Exchange(left, right);

            Assert.Equal(left.Journal.All, right.Journal.All);
        },
        iter: 60);

    [Theory]
    [InlineData(2)]
    [InlineData(5)]
    public void ForkedSequence_LargerThanAnyCredit_IsSentReportByReport(int contents)
    {
        MeshNode left = Hub("hub-a");
        var right = new MeshNode("hub-b", NodeRole.Hub) { Budget = new CreditBudget(CreditBudget.LeastWindow) };
        var origin = new OriginId(NodeId.Parse("power-1"), 5);
        left.Journal.Append([.. Enumerable.Range(1, contents).Select(content => Large(origin, 1, content)), Large(origin, 2, 1)]);

        MeshLink link = MeshLink.Exchange(left, right);

        Assert.Equal(left.Journal.All, right.Journal.All);
        Assert.IsType<ByeFrame>(link.Frames[^1]);
    }

    private static RawReport Large(OriginId origin, ulong sequence, int content) =>
        new(new ReportKey(origin, sequence), Enumerable.Repeat((byte)content, ReportsFrame.MaxReportBytes - 1).ToArray());

    [Fact]
    public void ClockPairs_AgentWithADeadClock_BothSidesWriteWhatTheySaw()
    {
        MeshNode agent = Agent("power-1", reports: 1);
        agent.Wall = NodaConstants.UnixEpoch;
        agent.Trust = ClockTrust.Unknown;
        MeshNode hub = Hub("base-camp");

        MeshLink.Exchange(agent, hub);

        var pair = Assert.IsType<ClockPair>(Assert.Single(hub.Log.OfType<SessionAction.WriteOwn>()).Body);
        Assert.Equal(agent.Node, pair.Subject);
        Assert.Equal(ClockTrust.Unknown, pair.SubjectTrust);
        Assert.InRange(pair.Uncertainty, Duration.Zero, Duration.FromMilliseconds(10));
        Assert.Single(agent.Log.OfType<SessionAction.WriteOwn>());
    }

    [Fact]
    public void ClockPairs_LinkBreaksAHundredTimes_AreWrittenOnce()
    {
        var time = new MeshTime();
        MeshNode agent = Agent("power-1", reports: 1, time: time);
        MeshNode hub = Hub("base-camp", time: time);
        for (int i = 0; i < 100; i++)
        {
            MeshLink.Exchange(agent, hub);
        }

        Assert.InRange(hub.Log.OfType<SessionAction.WriteOwn>().Count(), 1, 2);
    }

    [Fact]
    public void ClockPairs_AgentsClockIsSet_AreWrittenAgain()
    {
        var time = new MeshTime();
        MeshNode agent = Agent("power-1", reports: 1, time: time);
        MeshNode hub = Hub("base-camp", time: time);
        MeshLink.Exchange(agent, hub);

        agent.Wall += Duration.FromMinutes(3);
        MeshLink.Exchange(agent, hub);

        Assert.Equal(2, hub.Log.OfType<SessionAction.WriteOwn>().Count());
    }

    /// <summary>Runs whole sessions over every edge until a round adds nothing; clock pairs written on the way are reports too.</summary>
    private static void Heal(List<(MeshNode Left, MeshNode Right)> edges)
    {
        for (int round = 0; round < 20; round++)
        {
            int before = edges.Sum(edge => edge.Left.Journal.Count + edge.Right.Journal.Count);
            foreach ((MeshNode left, MeshNode right) in edges)
            {
                MeshLink.Exchange(left, right);
            }

            if (edges.Sum(edge => edge.Left.Journal.Count + edge.Right.Journal.Count) == before)
            {
                return;
            }
        }

        Assert.Fail("Twenty rounds over every edge still added reports.");
    }

    private static MeshNode Agent(string name, int reports, bool small = false, MeshTime? time = null)
    {
        var agent = new MeshNode(name, NodeRole.Agent, time) { Configure = Size(small) };
        var draw = new ReportDraw(name.Length + reports);
        for (int i = 0; i < reports; i++)
        {
            agent.Write(draw.Body());
        }

        return agent;
    }

    private static MeshNode Hub(string name, bool small = false, MeshTime? time = null) => new(name, NodeRole.Hub, time) { Configure = Size(small) };

    private static Func<MeshNode, SessionOptions, SessionOptions> Size(bool small) =>
        (_, options) => small ? options with { FrameReports = 3, FrameBytes = 4 << 10 } : options;
}
