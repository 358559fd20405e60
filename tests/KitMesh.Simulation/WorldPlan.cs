using KitMesh.TestKit.Disk;

namespace KitMesh.Simulation;

/// <summary>The shape of a world, drawn from its seed.</summary>
internal sealed class WorldPlan
{
    internal const int MinReports = 500;
    internal const int MinFaults = 10;

    internal WorldPlan(SeededRandom random)
    {
        Hubs = random.Between(2, 4);
        Agents = random.Between(3, 5);
        Reports = MinReports + random.Below(60);
        Faults = random.Between(MinFaults, 24);
        Seconds = random.Between(40, 90);
        IsBulky = random.OneIn(4);
        // A turned bit can take the last copy where an agent has let go of its own or lost its disk: no code can help
        // against both, so they do not meet in one world.
        AgentsDrop = random.OneIn(2);
        SegmentBytes = 4096 << random.Below(4);
        HasLoop = Hubs > 2 && random.OneIn(2);
        BudgetBytes = IsBulky ? 128 << 10 : 1 << 20;
    }

    internal int Hubs { get; }

    internal int Agents { get; }

    internal int Reports { get; }

    internal int Faults { get; }

    internal int Seconds { get; }

    /// <summary>Some reports are long, so that credit runs out.</summary>
    internal bool IsBulky { get; }

    internal bool AgentsDrop { get; }

    internal int SegmentBytes { get; }

    internal bool HasLoop { get; }

    internal long BudgetBytes { get; }

    internal FaultKind Draw(SeededRandom random)
    {
        FaultKind[] kinds = Enum.GetValues<FaultKind>();
        while (true)
        {
            FaultKind kind = kinds[random.Below(kinds.Length)];
            if (AgentsDrop ? kind != FaultKind.BitFlip : kind is not (FaultKind.DiskReplaced or FaultKind.DiskRestored))
            {
                return kind;
            }
        }
    }
}
