using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Disk;
using NodaTime;
using JournalCore = KitMesh.Sync.Journal.Journal;

namespace KitMesh.Tests.Sync.Journal;

/// <summary>Every operation of the disk fails once, and the journal goes on; then the power goes.</summary>
public sealed class JournalFaultTests
{
    private const int Rounds = 9;

    public static TheoryData<bool, DiskMishap, bool> Cases => new()
    {
        { false, DiskMishap.InputOutput, false }, { false, DiskMishap.InputOutput, true }, { false, DiskMishap.NoSpace, false },
        { true, DiskMishap.InputOutput, false }, { true, DiskMishap.InputOutput, true }, { true, DiskMishap.NoSpace, false },
    };

    /// <param name="isOutbox">Whether acknowledged segments are dropped.</param>
    /// <param name="mishap">What fails.</param>
    /// <param name="killFirst">
    /// Whether the process restarts first, while the system's cache still shows bytes that are not on the medium: whoever
    /// trusts them then loses them in the power cut.
    /// </param>
    [Theory]
    [MemberData(nameof(Cases))]
    public void EveryStep_FailsOnceThenPowerCut_LosesNothingAcknowledged(bool isOutbox, DiskMishap mishap, bool killFirst)
    {
        long steps = Live(new SimulatedDisk(1), isOutbox).Steps;
        for (long at = 1; at <= steps; at++)
        {
            for (ulong seed = 1; seed <= 3; seed++)
            {
                long failing = at;
                var disk = new SimulatedDisk((ulong)at ^ (seed << 40)) { Decide = step => step.Number == failing ? mishap : DiskMishap.None };
                JournalScript script = Live(disk, isOutbox).Script;
                disk.Decide = null;
                if (killFirst)
                {
                    disk.KillProcess();
                    JournalCore between = script.Open();
                    script.Oracle.Check(between);
                    script.AppendOwn(between, 1, 77, NodaConstants.UnixEpoch);
                    // What an opened journal calls its own may be told to others: from here on it must stay.
                    script.Oracle.Durable(between.Replay(JournalPosition.Start).Select(entry => entry.Report));
                }

                disk.CutPower(CutOutcome.Nothing);
                JournalCore journal = script.Open();
                Assert.True(journal.Recovery.Damage.Count == 0, $"step {at}: {string.Join("; ", journal.Recovery.Damage)}");
                Assert.Null(journal.Recovery.OldOrigin);
                script.Oracle.Check(journal);
            }
        }
    }

    [Fact]
    public void Append_DiskFull_FailsInWordsAndWorksAgainWithSpace()
    {
        var disk = new SimulatedDisk(3) { CapacityBytes = 30_000 };
        var script = new JournalScript(disk, isOutbox: false);
        JournalCore journal = script.Open();
        AppendResult? last = null;
        for (int i = 0; i < 200 && last is not AppendResult.Failed; i++)
        {
            last = journal.AppendOwn([key => Noted(script, key)], NodaConstants.UnixEpoch).Result;
        }

        DiskFault fault = Assert.IsType<AppendResult.Failed>(last).Fault;
        Assert.Equal(DiskFaultKind.NoSpace, fault.Kind);
        Assert.Contains("no space is left", fault.ToString(), StringComparison.Ordinal);
        ulong held = journal.Have(journal.Own)!.Ranges.Last;
        Assert.IsType<AppendResult.Failed>(journal.AppendOwn([key => Noted(script, key)], NodaConstants.UnixEpoch).Result);

        disk.CapacityBytes = long.MaxValue;
        Assert.IsType<AppendResult.Durable>(journal.AppendOwn([key => Noted(script, key)], NodaConstants.UnixEpoch).Result);
        disk.CutPower(CutOutcome.Nothing);
        journal = script.Open();
        Assert.Equal(held + 1, journal.Have(journal.Own)!.Ranges.Last);
        script.Oracle.Check(journal);
    }

    [Fact]
    public void Open_DiskFull_CallsNothingDurableThatIsInDoubtAndMendsLater()
    {
        var disk = new SimulatedDisk(4);
        var script = new JournalScript(disk, isOutbox: false);
        script.Live(4);
        disk.KillProcess();
        disk.CapacityBytes = disk.UsedBytes;

        JournalCore journal = script.Open();
        Assert.Equal(DiskFaultKind.NoSpace, journal.Recovery.Pending?.Kind);
        Assert.True(journal.Replay(JournalPosition.Start).Count() < script.Oracle.DurableCount);
        Assert.IsType<AppendResult.Failed>(journal.AppendOwn([key => Noted(script, key)], NodaConstants.UnixEpoch).Result);

        disk.CapacityBytes = long.MaxValue;
        Assert.IsType<AppendResult.Durable>(journal.AppendOwn([key => Noted(script, key)], NodaConstants.UnixEpoch).Result);
        script.Oracle.Check(journal);
    }

    [Fact]
    public void Sync_FailsOnce_IsNeverRetriedOnTheSameFile()
    {
        var disk = new SimulatedDisk(5);
        var script = new JournalScript(disk, isOutbox: false);
        JournalCore journal = script.Open();
        script.AppendOwn(journal, 1, 0, NodaConstants.UnixEpoch);
        string? failed = null;
        disk.Decide = step =>
        {
            if (step.Kind == DiskStepKind.Sync && failed is null)
            {
                failed = step.Path;
                return DiskMishap.InputOutput;
            }

            Assert.False(step.Path == failed && step.Kind is (DiskStepKind.Sync or DiskStepKind.Write), $"{step.Kind} on {failed} after its sync failed");
            return DiskMishap.None;
        };
        Assert.IsType<AppendResult.Failed>(journal.AppendOwn([key => Noted(script, key)], NodaConstants.UnixEpoch).Result);
        Assert.IsType<AppendResult.Durable>(journal.AppendOwn([key => Noted(script, key)], NodaConstants.UnixEpoch).Result);
        Assert.NotNull(failed);
        Assert.Equal(2UL, journal.Have(journal.Own)!.Ranges.Last);
    }

    private static (long Steps, JournalScript Script) Live(SimulatedDisk disk, bool isOutbox)
    {
        var script = new JournalScript(disk, isOutbox);
        script.Live(Rounds);
        return (disk.Steps, script);
    }

    private static byte[] Noted(JournalScript script, ReportKey key)
    {
        byte[] bytes = JournalScript.Bytes(key, 0);
        script.Oracle.Offer([new RawReport(key, bytes)]);
        return bytes;
    }
}
