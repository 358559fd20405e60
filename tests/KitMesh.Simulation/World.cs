using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Simulation.Checkers;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Disk;
using KitMesh.TestKit.Mutants;
using KitMesh.TestKit.Reports;
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

    internal World(ulong seed, Mutant mutant, TextWriter? words)
    {
        Random = new SeededRandom(seed);
        Mutant = mutant;
        Trace = new Trace(words);
        Plan = new WorldPlan(Random);
        _draw = new ReportDraw((int)(seed & int.MaxValue));
        Build();
    }

    internal SeededRandom Random { get; }

    internal Mutant Mutant { get; }

    internal WorldPlan Plan { get; }

    internal Trace Trace { get; }

    internal EventQueue Queue { get; } = new();

    internal PromiseLedger Promises { get; } = new();

    internal Duration Now => Queue.Now;

    internal List<SimulatedLink> Links { get; } = [];

    internal IReadOnlyList<SimulatedNode> Nodes => _nodes;

    internal IReadOnlySet<NodeId> Flipped => _flipped;

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
        Queue.RunUntil(Duration.FromSeconds(Plan.Seconds));
        trouble.End();
        int rounds = new Healing(this).Run();
        return new WorldResult(Trace.Hash, Promises.Written, _faults, Sessions, rounds, Queue.Done, MostBytesWaiting);
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
        long bytes = node.WaitingBytes + Links.Sum(link => link.BytesTo(node) * (link.Left == node || link.Right == node ? 1 : 0));
        MostBytesWaiting = Math.Max(MostBytesWaiting, bytes);
        if (bytes > node.Budget.Total)
        {
            throw new WorldFault($"{bytes} bytes wait for {node.Name}, past its budget of {node.Budget.Total}.");
        }
    }

    private void Build()
    {
        for (int i = 0; i < Plan.Hubs; i++)
        {
            _nodes.Add(new SimulatedNode(this, $"hub-{i}", NodeRole.Hub));
            if (i > 0)
            {
                Links.Add(new SimulatedLink(this, _nodes[i], _nodes[Random.Below(i)]));
            }
        }

        if (Plan.HasLoop)
        {
            Links.Add(new SimulatedLink(this, _nodes[Plan.Hubs - 1], _nodes[Random.Below(Plan.Hubs - 1)]));
        }

        for (int i = 0; i < Plan.Agents; i++)
        {
            var agent = new SimulatedNode(this, $"agent-{i}", NodeRole.Agent);
            _nodes.Add(agent);
            Links.Add(new SimulatedLink(this, agent, _nodes[Random.Below(Plan.Hubs)]));
        }

        _nodes.ForEach(node => node.StartProcess());
    }
}
