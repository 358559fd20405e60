using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Simulation.Checkers;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Disk;
using KitMesh.TestKit.Mutants;
using KitMesh.TestKit.Reports;
using KitMesh.TestKit.Sync;
using NodaTime;

namespace KitMesh.Simulation;

/// <summary>One world: hubs, agents, links, and one seed that decides everything that happens to them.</summary>
/// <remarks>
/// Real: journal, sessions, frame codec, report codec, re-timing and fold. Simulated: disk, links, clocks, power. Time
/// passes from event to event. First everything goes wrong for a while; then everything is mended, and the checkers look.
/// </remarks>
internal sealed class World
{
    internal static readonly Instant Start = Instant.FromUtc(2027, 2, 1, 6, 0);

    private readonly List<SimulatedNode> _nodes = [];
    private readonly ReportDraw _draw;
    private readonly SortedDictionary<FaultKind, int> _faults = [];
    private readonly HashSet<NodeId> _flipped = [];
    private readonly HashSet<NodeId> _restored = [];

    internal World(ulong seed, Mutant mutant, bool hasForger, TextWriter? words)
    {
        Random = new SeededRandom(seed);
        Mutant = mutant;
        Trace = new Trace(words);
        HasThinLinks = seed % 5 is 0 or 2;
        HasForger = hasForger;
        Plan = new WorldPlan(Random);
        _draw = new ReportDraw((int)(seed & int.MaxValue));
        Build();
    }

    internal SeededRandom Random { get; }

    internal Mutant Mutant { get; }

    internal WorldPlan Plan { get; }

    /// <summary>Hubs send what is urgent and new first, and at times their budgets are spent. Drawn from the seed itself, so that worlds without are as before.</summary>
    internal bool HasThinLinks { get; }

    /// <summary>Nodes seal what they write, hubs ask for it, and one hub invents.</summary>
    internal bool HasForger { get; }

    internal PlainSealKeys SealKeys { get; } = new();

    internal Trace Trace { get; }

    internal EventQueue Queue { get; } = new();

    internal PromiseLedger Promises { get; } = new();

    internal ReleaseLedger Releases { get; } = new();

    internal ContentBook Contents { get; } = new();

    internal Duration Now => Queue.Now;

    internal List<SimulatedLink> Links { get; } = [];

    internal IReadOnlyList<SimulatedNode> Nodes => _nodes;

    internal IReadOnlySet<NodeId> Flipped => _flipped;

    /// <summary>Nodes that went on from an old image of their disk: they may have written twice under one key.</summary>
    internal IReadOnlySet<NodeId> Restored => _restored;

    /// <summary>Links are even now, so that clock pairs stop getting better.</summary>
    internal bool IsHealing { get; set; }

    internal int Sessions { get; set; }

    internal long MostBytesWaiting { get; private set; }

    internal IReadOnlyDictionary<FaultKind, int> Faults => _faults;

    /// <summary>Lives through the whole world.</summary>
    internal WorldResult Run()
    {
        var trouble = new Trouble(this, _draw);
        trouble.Schedule();
        SimulatedNode station = _nodes.Find(node => node.Role == NodeRole.Agent)!;
        Releases.Station = station.Node;
        new Station(this, station).Schedule();
        if (HasForger)
        {
            new Forger(this, _nodes[Random.Below(Plan.Hubs)], station).Schedule();
        }

        Queue.RunUntil(Duration.FromSeconds(Plan.Seconds));
        trouble.End();
        int rounds = new Healing(this).Run();
        CheckSize();
        return new WorldResult(Trace.Hash, Promises.Written, _faults, Sessions, rounds, Queue.Done, MostBytesWaiting, Releases.Released);
    }

    /// <summary>Runs a node's code; the power may go inside.</summary>
    /// <returns>Whether the node lives on.</returns>
    internal bool Guard(SimulatedNode node, Action action)
    {
        try
        {
            action();
            return node.IsUp;
        }
        catch (PowerCutException)
        {
            node.Crash(power: true);
            return false;
        }
    }

    internal void Count(FaultKind kind) => _faults[kind] = _faults.GetValueOrDefault(kind) + 1;

    internal void Flip(SimulatedNode node)
    {
        _flipped.Add(node.Node);
        Promises.OwnDamaged(node.Node);
    }

    internal void NoteRecovery(SimulatedNode node, JournalRecovery recovery)
    {
        Trace.Note(Now, "open", node.Name, recovery.Segments);
        if (Trace.IsTold)
        {
            Trace.Tell($"             tail cut {recovery.TailBytesCut}, damage [{string.Join("; ", recovery.Damage)}], missing [{string.Join(", ", recovery.Missing)}], old {recovery.OldOrigin}, own {node.Journal.Own}, pending {recovery.Pending}");
            Trace.Tell($"             holds {string.Join(", ", node.Journal.Have().Select(holding => $"{holding.Origin} {holding.Ranges} kept {holding.Kept}"))}");
        }

        if ((recovery.Damage.Count > 0 || recovery.Missing.Count > 0) && !_flipped.Contains(node.Node))
        {
            throw new WorldFault($"{node.Name} found damage where nobody did any: {string.Join("; ", recovery.Damage)} {string.Join(", ", recovery.Missing)}");
        }
    }

    /// <summary>What is on its way to a node and what waits in it stays inside its budget.</summary>
    internal void CheckMemory(SimulatedNode node)
    {
        long bytes = node.WaitingBytes;
        foreach (SimulatedLink link in node.Links)
        {
            bytes += link.BytesTo(node);
        }

        MostBytesWaiting = Math.Max(MostBytesWaiting, bytes);
        if (bytes > node.Budget.Total)
        {
            throw new WorldFault($"{bytes} bytes wait for {node.Name}, past its budget of {node.Budget.Total}: {node.WaitingBytes} taken in, on their way {string.Join(", ", node.Links.Select(link => $"{link.Name} {link.BytesTo(node)}"))}.");
        }
    }

    internal void Restore(SimulatedNode node)
    {
        _restored.Add(node.Node);
        Promises.DiskRestored(node.Node);
    }

    /// <summary>A world that is too small or too kind proves nothing.</summary>
    private void CheckSize()
    {
        int hubs = _nodes.Count(node => node.Role == NodeRole.Hub);
        int faults = _faults.Values.Sum();
        if (hubs < 2 || _nodes.Count - hubs < 3 || Promises.Written < WorldPlan.MinReports || faults < WorldPlan.MinFaults)
        {
            throw new WorldFault($"This world has {hubs} hubs, {_nodes.Count - hubs} agents, {Promises.Written} reports and {faults} faults: too few.");
        }
    }

    private void Build()
    {
        for (int i = 0; i < Plan.Hubs; i++)
        {
            _nodes.Add(new SimulatedNode(this, $"hub-{i}", NodeRole.Hub));
            if (i > 0)
            {
                Connect(_nodes[i], _nodes[Random.Below(i)]);
            }
        }

        if (Plan.HasLoop)
        {
            Connect(_nodes[Plan.Hubs - 1], _nodes[Random.Below(Plan.Hubs - 1)]);
        }

        for (int i = 0; i < Plan.Agents; i++)
        {
            var agent = new SimulatedNode(this, $"agent-{i}", NodeRole.Agent);
            _nodes.Add(agent);
            Connect(agent, _nodes[Random.Below(Plan.Hubs)]);
        }

        _nodes.ForEach(node => node.StartProcess());
    }

    private void Connect(SimulatedNode left, SimulatedNode right)
    {
        var link = new SimulatedLink(this, left, right);
        Links.Add(link);
        left.Links.Add(link);
        right.Links.Add(link);
    }
}
