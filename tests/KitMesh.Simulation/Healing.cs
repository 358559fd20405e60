using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Simulation.Checkers;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Session;
using KitMesh.TestKit.Disk;
using NodaTime;

namespace KitMesh.Simulation;

/// <summary>The second part of a world: everything works again, a bounded number of exchanges follows, and the checkers look.</summary>
internal sealed class Healing(World world)
{
    private readonly Dictionary<(ReportKey Key, Sha256Hash Content), Report> _decoded = [];

    private List<SimulatedNode> Hubs => [.. world.Nodes.Where(node => node.Role == NodeRole.Hub)];

    private List<SimulatedNode> Agents => [.. world.Nodes.Where(node => node.Role == NodeRole.Agent)];

    private List<OriginId> OwnOrigins() => [.. world.Nodes.Select(node => node.Journal.Own)];

    /// <returns>How many rounds of exchanges it took.</returns>
    internal int Run()
    {
        world.Links.ForEach(link => link.Cut("healing"));
        // Whatever is still to arrive or to be written, and every restart that is under way.
        world.Queue.RunUntil(world.Now + Duration.FromSeconds(12));
        Restart(world.Nodes, power: false);
        world.IsHealing = true;
        // A restored disk costs a round: the session in which it learns of it ends with a new epoch.
        // So does an invention in an agent's name; and what a session writes is sealed as the next one begins.
        int bound = world.Plan.Hubs + (world.Restored.Count == 0 ? 3 : 4) + (world.HasForger ? 2 : 0);
        for (int round = 1; round <= bound; round++)
        {
            List<OriginId> before = OwnOrigins();
            Exchange();
            // A node that opened an epoch in this round may still have the last report of the old one to send.
            if (round >= 2 && OwnOrigins().SequenceEqual(before) && AreEqual())
            {
                Check();
                return round;
            }
        }

        throw new WorldFault($"After {bound} rounds of exchanges the hubs still hold different reports: {Difference()}");
    }

    private static void Restart(IEnumerable<SimulatedNode> nodes, bool power)
    {
        foreach (SimulatedNode node in nodes)
        {
            node.StopProcess();
            if (power)
            {
                node.Disk.CutPower(CutOutcome.Nothing);
            }
            else
            {
                node.Disk.KillProcess();
            }

            node.StartProcess();
            if (!node.IsUp)
            {
                throw new WorldFault($"{node.Name} does not start on a sound disk.");
            }
        }
    }

    /// <summary>Every link holds one session from hello to farewell.</summary>
    private void Exchange()
    {
        world.Links.ForEach(link => link.TryOpen(finish: true));
        Duration end = world.Now + Duration.FromSeconds(180);
        Tick(end);
        world.Queue.RunUntil(end, () => world.Links.TrueForAll(link => !link.IsOpen));
        if (world.Links.Find(link => link.IsOpen) is { } stuck)
        {
            throw new WorldFault($"The session on {stuck.Name} does not come to an end.");
        }

        world.Queue.RunUntil(world.Now + Duration.FromSeconds(1));
    }

    private void Tick(Duration end)
    {
        if (world.Now < end && world.Links.Exists(link => link.IsOpen))
        {
            world.Links.ForEach(link => link.Tick());
            world.Queue.After(Duration.FromSeconds(1), () => Tick(end));
        }
    }

    private bool AreEqual()
    {
        List<Sha256Hash> prints = [.. Hubs.Select(hub => HoldingsFingerprint.Of(hub.Journal.Have()))];
        return prints.TrueForAll(print => print == prints[0]) && Agents.TrueForAll(agent => Equals(RangesAt(Hubs[0], agent), RangesAt(agent, agent)));
    }

    private static SequenceRanges? RangesAt(SimulatedNode node, SimulatedNode writer) => node.Journal.Have(writer.Journal.Own)?.Ranges;

    /// <summary>With no session left nothing of the budget is taken: else a hub would take less and less.</summary>
    private void CheckCredit()
    {
        foreach (SimulatedNode node in world.Nodes)
        {
            if (node.Budget.Free != node.Budget.Total)
            {
                throw new WorldFault($"{node.Budget.Total - node.Budget.Free} bytes of {node.Name}'s budget never came back.");
            }
        }
    }

    private string Difference() =>  string.Join(" | ", Hubs.Select(hub =>
        $"{hub.Name}: {string.Join(", ", hub.Journal.Have().Select(holding => $"{holding.Origin} {holding.Ranges} {holding.ChainHash.ToString()[..6]}"))}"));

    private void Check()
    {
        List<NodeContent> contents = [.. Hubs.Select(hub => ContentOf(hub))];
        CheckPromises(contents);
        CheckForks();
        foreach ((SimulatedNode hub, NodeContent content) in Hubs.Zip(contents))
        {
            content.CheckChains(hub.Journal.Have());
            if (world.HasForger)
            {
                content.CheckSeals(hub.Journal, world);
            }
        }

        CheckCredit();
        CheckClocks();
        // Two of them are folded: which, and so in which order of arrival, the seed decides.
        int other = world.Random.Between(1, contents.Count - 1);
        if (contents[0].StateFingerprint(world.Mutant) != contents[other].StateFingerprint(world.Mutant))
        {
            throw new WorldFault("The hubs hold the same reports and derive different states.");
        }

        int cut = world.Random.Below(contents.Count);
        Restart([Hubs[cut]], power: true);
        if (!ContentOf(Hubs[cut]).Reports.SetEquals(contents[cut].Reports))
        {
            throw new WorldFault($"{Hubs[cut].Name} holds other reports after a power cut.");
        }
    }

    private NodeContent ContentOf(SimulatedNode node) => new(node.Journal, world.Flipped.Contains(node.Node), world.Contents, _decoded);

    private void CheckPromises(List<NodeContent> contents)
    {
        HashSet<(ReportKey Key, Sha256Hash Content)> held = contents[0].Reports;
        for (int i = 1; i < contents.Count; i++)
        {
            if (!contents[i].Reports.SetEquals(held))
            {
                IEnumerable<ReportKey> more = contents[i].Reports.Except(held).Select(report => report.Key);
                IEnumerable<ReportKey> less = held.Except(contents[i].Reports).Select(report => report.Key);
                throw new WorldFault($"hub-{i} says it holds what hub-0 holds and does not: it also has {string.Join(" ", more)} and lacks {string.Join(" ", less)}.");
            }
        }

        foreach ((ReportKey Key, Sha256Hash Content) report in world.Promises.Promised)
        {
            if (!held.Contains(report))
            {
                throw new WorldFault($"Report {report.Key} was called durable and is on no hub.");
            }
        }

        foreach ((ReportKey key, Sha256Hash content) in held)
        {
            if (!world.Promises.WasWritten(key, content))
            {
                throw new WorldFault($"The hubs hold a report {key} that nobody wrote.");
            }
        }
    }

    /// <summary>Nothing may have been written twice under one key, except where a disk was restored or a bit took a hub's own tail.</summary>
    private void CheckForks()
    {
        foreach (OriginHolding holding in Hubs.SelectMany(hub => hub.Journal.Have()).Where(holding => holding.Forks.Count > 0))
        {
            if (!world.Flipped.Contains(holding.Origin.Node) && !world.Restored.Contains(holding.Origin.Node) && !world.Releases.HasForged(holding.Origin))
            {
                throw new WorldFault($"{holding.Origin} has two reports under sequence {holding.Forks[0].Sequence}.");
            }
        }
    }

    private void CheckClocks()
    {
        foreach (SimulatedNode node in world.Nodes)
        {
            Instant wall = node.Wall;
            if (node.NextHybrid().Instant > wall + HybridClock.DriftLimit)
            {
                throw new WorldFault($"The hybrid clock of {node.Name} runs ahead of its wall clock for good.");
            }
        }
    }
}
