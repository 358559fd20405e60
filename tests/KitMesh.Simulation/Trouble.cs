using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.TestKit.Disk;
using KitMesh.TestKit.Reports;
using NodaTime;

namespace KitMesh.Simulation;

/// <summary>The first part of a world: work goes on while everything that can go wrong does.</summary>
internal sealed class Trouble(World world, ReportDraw draw)
{
    private bool _isOver;

    internal void Schedule()
    {
        ScheduleWrites();
        foreach (SimulatedLink link in world.Links)
        {
            world.Queue.After(Within(2), () => TryLink(link));
        }

        for (int i = 0; i < world.Plan.Faults; i++)
        {
            FaultKind kind = world.Plan.Draw(world.Random);
            world.Queue.After(Within(world.Plan.Seconds), () => Strike(kind));
        }

        world.Queue.After(Duration.FromSeconds(1), Tick);
    }

    /// <summary>All faults stop. What was already set off may still arrive.</summary>
    internal void End()
    {
        _isOver = true;
        foreach (SimulatedNode node in world.Nodes)
        {
            node.Disk.Decide = null;
            node.Disk.CapacityBytes = long.MaxValue;
            node.IsSlow = false;
            node.WallOffset = Duration.Zero;
        }

        foreach (SimulatedLink link in world.Links)
        {
            link.IsPartitioned = false;
            link.Arm(null);
        }
    }

    private void ScheduleWrites()
    {
        var agents = world.Nodes.Where(node => node.Role == NodeRole.Agent).ToList();
        int left = world.Plan.Reports;
        while (left > 0)
        {
            int count = Math.Min(left, world.Random.Between(1, 9));
            left -= count;
            SimulatedNode agent = agents[world.Random.Below(agents.Count)];
            world.Queue.After(Within(world.Plan.Seconds), () => Write(agent, count));
        }
    }

    /// <summary>A device that is off has nothing to say now; it measures later.</summary>
    private void Write(SimulatedNode agent, int count)
    {
        if (agent.IsUp)
        {
            agent.Write([.. Enumerable.Range(0, count).Select(_ => Body())]);
        }
        else
        {
            world.Queue.After(Duration.FromSeconds(1), () => Write(agent, count));
        }
    }

    private ReportBody Body() => world.Plan.IsBulky && world.Random.OneIn(12)
        ? new Note("keeper", null, new string('n', world.Random.Between(5_000, 30_000)))
        : draw.Body();

    private void TryLink(SimulatedLink link)
    {
        if (!_isOver)
        {
            link.TryOpen(finish: world.Random.OneIn(3));
            world.Queue.After(Duration.FromMilliseconds(world.Random.Between(300, 5000)), () => TryLink(link));
        }
    }

    private void Tick()
    {
        if (!_isOver)
        {
            world.Links.ForEach(link => link.Tick());
            foreach (SimulatedNode node in world.Nodes)
            {
                node.Maintain();
            }

            world.Queue.After(Duration.FromSeconds(1), Tick);
        }
    }

    private void Strike(FaultKind kind)
    {
        SimulatedLink link = world.Links[world.Random.Below(world.Links.Count)];
        SimulatedNode node = world.Nodes[world.Random.Below(world.Nodes.Count)];
        if (kind == FaultKind.BitFlip)
        {
            node = world.Nodes[world.Random.Below(world.Plan.Hubs)];
        }

        world.Count(kind);
        world.Trace.Note(world.Now, $"fault {kind}", kind < FaultKind.ProcessKilled ? link.Name : node.Name);
        switch (kind)
        {
            case FaultKind.FrameDropped or FaultKind.FrameDuplicated or FaultKind.FramesReordered or FaultKind.FrameDelayed or FaultKind.CutMidFrame:
                link.Arm(kind);
                break;
            case FaultKind.LinkCut:
                link.Cut("link cut");
                break;
            case FaultKind.Partition:
                link.IsPartitioned = true;
                link.Cut("partition");
                world.Queue.After(Within(30), () => link.IsPartitioned = false);
                break;
            case FaultKind.ProcessKilled or FaultKind.PowerCut when node.IsUp:
                node.Crash(power: kind == FaultKind.PowerCut);
                break;
            case FaultKind.PowerCutAtDiskStep:
                ArmDisk(node, DiskMishap.PowerCut, _ => true);
                break;
            case FaultKind.WriteFails:
                ArmDisk(node, DiskMishap.InputOutput, step => step == DiskStepKind.Write);
                break;
            case FaultKind.SyncFails:
                ArmDisk(node, DiskMishap.InputOutput, step => step is DiskStepKind.Sync or DiskStepKind.SyncDirectory);
                break;
            case FaultKind.NoSpace:
                node.Disk.CapacityBytes = node.Disk.UsedBytes + world.Random.Below(6000);
                SimulatedDisk full = node.Disk;
                world.Queue.After(Within(20), () => full.CapacityBytes = long.MaxValue);
                break;
            case FaultKind.ClockJump:
                node.WallOffset = Duration.FromDays(365 * world.Random.Between(-60, 60));
                break;
            case FaultKind.SlowPeer:
                node.IsSlow = true;
                world.Queue.After(Within(20), () => node.IsSlow = false);
                break;
            case FaultKind.BitFlip:
                FlipBit(node);
                break;
            case FaultKind.DiskReplaced when node.Role == NodeRole.Agent:
                world.Promises.DiskGone(node.Node);
                node.ReplaceDisk();
                break;
            case FaultKind.DiskRestored when node.Role == NodeRole.Agent:
                RestoreLater(node, node.Disk);
                break;
        }
    }

    /// <summary>The fault strikes at one of the next operations that change something.</summary>
    private void ArmDisk(SimulatedNode node, DiskMishap mishap, Func<DiskStepKind, bool> fits)
    {
        int skip = world.Random.Below(8);
        SimulatedDisk disk = node.Disk;
        disk.Decide = step =>
        {
            if (step.Kind == DiskStepKind.Read || !fits(step.Kind) || skip-- > 0)
            {
                return DiskMishap.None;
            }

            disk.Decide = null;
            return mishap;
        };
    }

    /// <summary>Somebody takes an image of a disk now, and writes it back later.</summary>
    private void RestoreLater(SimulatedNode node, SimulatedDisk disk)
    {
        SimulatedDisk image = disk.Image(world.Random.Next());
        world.Queue.After(Within(25), () =>
        {
            if (!_isOver && node.Disk == disk)
            {
                world.Restore(node);
                node.RestoreDisk(image);
            }
        });
    }

    private void FlipBit(SimulatedNode hub)
    {
        IReadOnlyList<string> files = hub.Disk.Files;
        if (files.Count == 0)
        {
            return;
        }

        string file = files[world.Random.Below(files.Count)];
        int length = hub.Disk.Bytes(file).Length;
        if (length > 0)
        {
            world.Flip(hub);
            hub.Disk.FlipBit(file, world.Random.Below(length * 8));
        }
    }

    private Duration Within(int seconds) => Duration.FromMilliseconds(world.Random.Below(seconds * 1000));
}
