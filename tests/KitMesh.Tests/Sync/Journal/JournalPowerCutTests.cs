using KitMesh.Sync.Journal;
using KitMesh.TestKit.Disk;
using NodaTime;
using JournalCore = KitMesh.Sync.Journal.Journal;

namespace KitMesh.Tests.Sync.Journal;

/// <summary>
/// The power goes before every single operation of the disk, with every kind of remainder; then again during recovery, and
/// again during the recovery of that. Nothing acknowledged may be lost, no gap may open, every replay must agree.
/// </summary>
public sealed class JournalPowerCutTests
{
    private const int Rounds = 12;
    private const int ShortLife = 7;

    public static TheoryData<bool, CutOutcome> Cases => new()
    {
        { false, CutOutcome.Nothing }, { false, CutOutcome.Everything }, { false, CutOutcome.Anything },
        { true, CutOutcome.Nothing }, { true, CutOutcome.Everything }, { true, CutOutcome.Anything },
    };

    [Theory]
    [MemberData(nameof(Cases))]
    public void EveryStep_PowerCutOnce_LosesNothingAcknowledged(bool isOutbox, CutOutcome outcome)
    {
        long steps = StepsOfALife(isOutbox);
        Assert.InRange(steps, 50, 2000);
        for (long cut = 1; cut <= steps; cut++)
        {
            ulong seeds = outcome == CutOutcome.Anything ? 4u : 1u;
            for (ulong seed = 0; seed < seeds; seed++)
            {
                (SimulatedDisk disk, JournalScript script) = LifeUntil(cut, isOutbox, outcome, seed);
                Survive(disk, script, $"cut {cut}, seed {seed}");
            }
        }
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void EveryStep_PowerCutAgainInRecoveryTwice_LosesNothingAcknowledged(bool isOutbox, CutOutcome outcome)
    {
        long steps = StepsOfALife(isOutbox, ShortLife);
        for (long cut = 1; cut <= steps; cut++)
        {
            for (long second = 1; second <= 40; second++)
            {
                (SimulatedDisk disk, JournalScript script) = LifeUntil(cut, isOutbox, outcome, (ulong)second, ShortLife);
                if (!CutDuringOpen(disk, script, second, outcome))
                {
                    break;
                }

                CutDuringOpen(disk, script, 1 + (second % 7), outcome);
                Survive(disk, script, $"cut {cut}, then {second} steps into recovery");
            }
        }
    }

    private static long StepsOfALife(bool isOutbox, int rounds = Rounds)
    {
        var disk = new SimulatedDisk(1);
        var script = new JournalScript(disk, isOutbox);
        script.Live(rounds);
        Survive(disk, script, "no cut");
        return disk.Steps;
    }

    private static (SimulatedDisk Disk, JournalScript Script) LifeUntil(long cut, bool isOutbox, CutOutcome outcome, ulong seed, int rounds = Rounds)
    {
        var disk = new SimulatedDisk((ulong)cut + (seed << 32)) { Decide = step => step.Number == cut ? DiskMishap.PowerCut : DiskMishap.None };
        var script = new JournalScript(disk, isOutbox);
        try
        {
            script.Live(rounds);
        }
        catch (PowerCutException)
        {
        }

        disk.Decide = null;
        disk.CutPower(outcome);
        return (disk, script);
    }

    private static bool CutDuringOpen(SimulatedDisk disk, JournalScript script, long stepsIn, CutOutcome outcome)
    {
        long at = disk.Steps + stepsIn;
        disk.Decide = step => step.Number == at ? DiskMishap.PowerCut : DiskMishap.None;
        try
        {
            script.Open();
            return false;
        }
        catch (PowerCutException)
        {
            return true;
        }
        finally
        {
            disk.Decide = null;
            disk.CutPower(outcome);
        }
    }

    /// <summary>Opens, compares, goes on living, and opens once more.</summary>
    private static void Survive(SimulatedDisk disk, JournalScript script, string what)
    {
        JournalCore journal = script.Open();
        Assert.True(journal.Recovery.Damage.Count == 0, $"{what}: {string.Join("; ", journal.Recovery.Damage)}");
        Assert.Empty(journal.Recovery.Missing);
        Assert.Null(journal.Recovery.OldOrigin);
        Assert.Null(journal.Recovery.Pending);
        script.Oracle.Check(journal);
        var before = journal.Replay(JournalPosition.Start).Select(entry => (entry.Report.Key, entry.Arrival, entry.IsFork)).ToList();
        int durable = script.Oracle.DurableCount;
        script.AppendOwn(journal, 2, 99, NodaConstants.UnixEpoch);
        Assert.Equal(durable + 2, script.Oracle.DurableCount);
        journal.Dispose();

        disk.CutPower(CutOutcome.Nothing);
        JournalCore again = script.Open();
        script.Oracle.Check(again);
        Assert.Equal(before, again.Replay(JournalPosition.Start).Select(entry => (entry.Report.Key, entry.Arrival, entry.IsFork)).Take(before.Count));
        again.Dispose();
        disk.KillProcess();
    }
}
